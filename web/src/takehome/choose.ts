/// What the page says of a hearing: one good thing that is true, at most two to work on, and only of
/// the kinds that the teacher has opened for this lesson.
import type { Finding, Hearing } from "../contracts/hearing";

const mostWork = 2;

/// What can be praised of any take that was heard, if nothing better was found.
export type Plain = "every-note" | "to-the-end";

export interface Said {
  good: Finding | Plain | undefined;
  work: Finding[];
}

export function choose(hearing: Hearing, maySay: readonly string[]): Said {
  if (hearing.status !== "ok") return { good: undefined, work: [] };
  const sure = [...hearing.findings].sort((a, b) => b.confidence - a.confidence);
  return {
    good: sure.find((f) => f.tone === "good") ?? plain(hearing),
    work: sure.filter((f) => f.tone === "work" && maySay.includes(f.kind)).slice(0, mostWork),
  };
}

function plain(hearing: Hearing): Plain | undefined {
  const [last] = hearing.notes.slice(-1);
  if (everyNote(hearing)) return "every-note";
  return last?.state === "heard" ? "to-the-end" : undefined;
}

/// Whether every note from the first to the last that was played was heard as written.
export function everyNote(hearing: Hearing): boolean {
  const played = hearing.notes.filter((n) => n.state !== "not-reached");
  return played.length > 0 && played.every((n) => n.state === "heard");
}
