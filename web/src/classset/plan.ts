/// What a class set would be, and the sets that were made (docs/api.md).
import { fault } from "../contracts/desk";
import { dictionary, flag, list, number, object, oneOf, orNull, text, whole, type Of } from "../contracts/shape";

const key = object({ fifths: whole, says: text });
const step = object({ key: text, name: text });
const line = object({ kind: text, title: text, why: text, step: text, strained: list(text) });

export const plan = object({
  schema: oneOf("endpin.set/1"),
  key,
  in_hand: flag,
  says: list(text),
  parts: list(
    object({
      instrument: text,
      hand: text,
      clef: text,
      octaves: whole,
      written_octave: whole,
      lowest: text,
      highest: text,
      steps: list(step),
      lines: list(line),
    }),
  ),
  keys: list(
    object({
      fifths: whole,
      says: text,
      in_hand: flag,
      each: list(object({ instrument: text, step: text, strained: list(text), open_notes: whole })),
    }),
  ),
});

export const classSet = object({
  id: whole,
  piece: object({ id: whole, title: text }),
  wanted: object({
    instruments: list(text),
    steps: dictionary(text),
    fifths: whole,
    lines: list(text),
    tempo_bpm: orNull(number),
    paper: text,
    date: text,
  }),
  state: oneOf("making", "ready", "failed", "stopped"),
  doing: text,
  error: orNull(fault),
  created: text,
  files: list(text),
});

export type Plan = Of<typeof plan>;
export type PlannedPart = Plan["parts"][number];
export type ClassSet = Of<typeof classSet>;

export const everybody = ["violin", "viola", "cello", "bass"] as const;
export const linesBeside = ["second", "long-notes", "rhythm", "open-strings", "warm-up"] as const;

/// What the teacher has chosen.
export interface Wanted {
  instruments: string[];
  steps: Record<string, string>;
  /// Of another key of the same mode; the tune's own where it is not set.
  fifths: number | undefined;
  lines: string[];
  tempo: string;
}

/// In the words of a query.
export function queryOf(wanted: Wanted): Record<string, string | number | undefined> {
  const steps = wanted.instruments.flatMap((i) => (wanted.steps[i] ? [`${i}:${wanted.steps[i]}`] : []));
  return {
    instruments: wanted.instruments.join(","),
    steps: steps.join(","),
    fifths: wanted.fifths,
    // Nothing at all would mean everything.
    lines: wanted.lines.join(",") || ",",
    tempo_bpm: wanted.tempo,
  };
}

/// In the words of the request that makes it.
export function bodyOf(wanted: Wanted): object {
  const steps = wanted.instruments.flatMap((i) => (wanted.steps[i] ? [[i, wanted.steps[i]]] : []));
  return {
    instruments: wanted.instruments,
    steps: Object.fromEntries(steps),
    fifths: wanted.fifths ?? null,
    lines: wanted.lines,
    tempo_bpm: wanted.tempo ? Number(wanted.tempo) : null,
  };
}

/// The easiest keys, and the chosen one and the tune's own wherever they stand.
export function keysToShow(plan: Plan, own: number, many: number): Plan["keys"] {
  return plan.keys.filter((k, i) => i < many || k.fifths === plan.key.fifths || k.fifths === own);
}
