/// Descriptions of JSON values that check at run time and give their type to the compiler, so that
/// a contract is written once. Members that a shape does not name are passed over: contracts grow
/// by addition.

export interface Shape<T> {
  /// Returns nothing if `value` fits, else where and why it does not: `notes[3].midi: not a number`.
  fault(value: unknown, at: string): string | undefined;
  /// Only for the compiler; never set.
  readonly type?: T;
  /// Whether an object may do without this member.
  readonly mayLack?: boolean;
}

export type Of<S> = S extends Shape<infer T> ? T : never;

function shape<T>(fault: Shape<T>["fault"]): Shape<T> {
  return { fault };
}

function basic<T>(kind: string, fits: (value: unknown) => boolean): Shape<T> {
  return shape((value, at) => (fits(value) ? undefined : `${at}: not ${kind}`));
}

export const text = basic<string>("a string", (v) => typeof v === "string");
export const number = basic<number>("a number", (v) => typeof v === "number" && Number.isFinite(v));
export const whole = basic<number>("a whole number", (v) => Number.isInteger(v));
export const flag = basic<boolean>("true or false", (v) => typeof v === "boolean");
export const anything = basic<unknown>("anything", () => true);

export function oneOf<const W extends readonly string[]>(...words: W): Shape<W[number]> {
  return shape((value, at) =>
    words.some((word) => word === value) ? undefined : `${at}: not one of ${words.join(", ")}`,
  );
}

export function orNull<T>(inner: Shape<T>): Shape<T | null> {
  return shape((value, at) => (value === null ? undefined : inner.fault(value, at)));
}

/// A member that came later: what was written before lacks it.
export function addedLater<T>(inner: Shape<T>): Shape<T | null | undefined> {
  return { ...orNull(inner), mayLack: true };
}

export function list<T>(inner: Shape<T>): Shape<T[]> {
  return shape((value, at) => {
    if (!Array.isArray(value)) return `${at}: not a list`;
    for (let i = 0; i < value.length; ++i) {
      const fault = inner.fault(value[i], `${at}[${i}]`);
      if (fault !== undefined) return fault;
    }
    return undefined;
  });
}

export function dictionary<T>(inner: Shape<T>): Shape<Record<string, T>> {
  return shape((value, at) => {
    if (!isObject(value)) return `${at}: not an object`;
    return firstFault(Object.entries(value).map(([k, v]) => inner.fault(v, `${at}.${k}`)));
  });
}

export function object<M extends Record<string, Shape<unknown>>>(
  members: M,
): Shape<{ [K in keyof M]: Of<M[K]> }> {
  return shape((value, at) => {
    if (!isObject(value)) return `${at}: not an object`;
    return firstFault(
      Object.entries(members).map(([k, inner]) =>
        k in value
          ? inner.fault(value[k], `${at}.${k}`)
          : inner.mayLack ? undefined : `${at}.${k}: missing`,
      ),
    );
  });
}

/// Members that may be missing.
export function partial<M extends Record<string, Shape<unknown>>>(
  members: M,
): Shape<{ [K in keyof M]?: Of<M[K]> }> {
  return shape((value, at) => {
    if (!isObject(value)) return `${at}: not an object`;
    return firstFault(
      Object.entries(members).map(([k, inner]) =>
        value[k] === undefined ? undefined : inner.fault(value[k], `${at}.${k}`),
      ),
    );
  });
}

/// `value` as what `inner` says it is. Throws with the place of the first fault.
export function checked<T>(inner: Shape<T>, value: unknown, name = "value"): T {
  const fault = inner.fault(value, name);
  if (fault !== undefined) throw new TypeError(fault);
  return value as T;
}

function isObject(value: unknown): value is Record<string, unknown> {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

function firstFault(faults: (string | undefined)[]): string | undefined {
  return faults.find((fault) => fault !== undefined);
}
