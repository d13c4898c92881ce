/// Which time through the repeats to show first.
import type { Hearing } from "../contracts/hearing";

/// The pass in which most notes were heard; of equals the earlier.
export function fullestPass(hearing: Pick<Hearing, "notes">): number {
  const heard = new Map<number, number>();
  for (const note of hearing.notes) {
    if (note.heard) heard.set(note.pass, (heard.get(note.pass) ?? 0) + 1);
  }
  return [...heard].sort(([a, m], [b, n]) => n - m || a - b)[0]?.[0] ?? 1;
}
