/// What of a hearing is drawn under the notes: no more than the page may say.
import type { Hearing } from "../contracts/hearing";
import { laneOf, type Lane } from "../lanes/marks";
import { choose } from "./choose";

/// How long notes lasted is always drawn; pitch and time where the teacher lets them be said.
export function lanesFor(maySay: readonly string[]): ReadonlySet<Lane> {
  const kinds = Object.entries(laneOf).filter(([kind]) => maySay.includes(kind));
  return new Set<Lane>(["length", ...kinds.map(([, lane]) => lane)]);
}

/// The hearing without what is left to the teacher: other findings, wrong and missed notes.
export function drawnHearing(hearing: Hearing, maySay: readonly string[]): Hearing {
  const kindOf = { wrong: "wrong-note", missed: "missed" } as const;
  const notes = hearing.notes.map((n) => {
    const kind = n.state === "wrong" || n.state === "missed" ? kindOf[n.state] : undefined;
    return kind && !maySay.includes(kind) ? { ...n, state: "not-reached" as const, heard: null } : n;
  });
  return { ...hearing, notes, findings: choose(hearing, maySay).work };
}
