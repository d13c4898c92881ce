/// Talking to the desk's server (docs/api.md). Every answer is checked against its shape; every
/// failure becomes a `Refusal` that says what is wrong and what to do.
import { fault, type Fault } from "../contracts/desk";
import { checked, object, type Shape } from "../contracts/shape";

export class Refusal extends Error {
  constructor(
    readonly status: number,
    readonly fault: Fault,
  ) {
    super(fault.line || fault.what);
  }
}

export type Query = Record<string, string | number | boolean | null | undefined>;

/// `/api` with `path` and the words of `query` that have a value.
export function address(path: string, query: Query = {}): string {
  const words = Object.entries(query).filter(([, v]) => v !== undefined && v !== null && v !== "");
  const text = words.map(([k, v]) => `${k}=${encodeURIComponent(v === true ? "1" : String(v))}`);
  return `/api${path}${text.length > 0 ? `?${text.join("&")}` : ""}`;
}

export async function read<T>(shape: Shape<T>, path: string, query?: Query): Promise<T> {
  return parsed(shape, await answered(await reached(address(path, query), {})), path);
}

export async function change<T>(
  method: "POST" | "PUT" | "PATCH",
  shape: Shape<T>,
  path: string,
  body: unknown = {},
): Promise<T> {
  const answer = await reached(address(path), {
    method,
    headers: { "X-Endpin": "1", "Content-Type": "application/json" },
    body: JSON.stringify(body),
  });
  return parsed(shape, await answered(answer), path);
}

export async function remove(path: string, query?: Query): Promise<void> {
  await answered(
    await reached(address(path, query), { method: "DELETE", headers: { "X-Endpin": "1" } }),
  );
}

/// Sends a file as it is.
export async function send<T>(
  shape: Shape<T>,
  path: string,
  bytes: Blob,
  query: Query,
): Promise<T> {
  const answer = await reached(address(path, query), {
    method: "POST",
    headers: { "X-Endpin": "1", "Content-Type": "application/octet-stream" },
    body: bytes,
  });
  return parsed(shape, await answered(answer), path);
}

async function reached(url: string, init: RequestInit): Promise<Response> {
  try {
    return await fetch(url, init);
  } catch {
    throw new Refusal(0, plain("unreachable"));
  }
}

async function answered(answer: Response): Promise<Response> {
  if (answer.ok) return answer;
  const body: unknown = await answer.json().catch(() => null);
  const told = object({ error: fault });
  throw new Refusal(
    answer.status,
    told.fault(body, "answer") === undefined
      ? (body as { error: Fault }).error
      : plain(`${answer.status} ${answer.statusText}`),
  );
}

async function parsed<T>(shape: Shape<T>, answer: Response, path: string): Promise<T> {
  return checked(shape, await answer.json(), path);
}

function plain(what: string): Fault {
  return { file: "", place: "", what, remedy: "", line: what };
}
