/// What the page says of a hearing: one good thing that is true, at most two to work on, and only of
/// the kinds that the teacher has opened for this lesson.
import type { Finding, Hearing } from "../contracts/hearing";

const mostWork = 2;

export interface Said {
  good: Finding | undefined;
  work: Finding[];
}

export function choose(hearing: Hearing, maySay: readonly string[]): Said {
  if (hearing.status !== "ok") return { good: undefined, work: [] };
  const sure = [...hearing.findings].sort((a, b) => b.confidence - a.confidence);
  return {
    good: sure.find((f) => f.tone === "good"),
    work: sure.filter((f) => f.tone === "work" && maySay.includes(f.kind)).slice(0, mostWork),
  };
}
