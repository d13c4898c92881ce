/// Which rung of the ladder a take speaks for; the child decides.
import type { Hearing } from "../contracts/hearing";
import { everyNote } from "./choose";

export interface Advice {
  way: "up" | "stay" | "down";
  tempo: number;
}

/// A stop or a wait twice in one take says that the tempo is too high yet (ours).
const breaksToGoDown = 2;
/// Half of a step of the metronome's scale, which rises by some 6 % a mark.
const aMark = 0.03;
/// About a rung: the metronome's scale rises by some 6 % a mark, a ladder by two or three (ours).
const slowerShare = 0.85;

/// Nothing where there is no ladder or the take was not at one of its rungs. `played` is the tempo
/// that was counted in, or 0: then the one that was heard, if it is in the ladder's `beatUnit`.
export function advise(
  rungs: readonly number[],
  played: number,
  hearing: Hearing,
  beatUnit: string,
): Advice | undefined {
  if (hearing.status !== "ok") return undefined;
  const heard = hearing.tempo.beat_unit === beatUnit ? (hearing.tempo.bpm ?? 0) : 0;
  const at = nearest(rungs, played > 0 ? played : heard);
  const tempo = rungs[at];
  if (tempo === undefined) return undefined;
  const work = hearing.findings.filter((f) => f.tone === "work");
  const waits = work.filter((f) => f.kind === "hesitation" || f.kind === "restart").length;
  const breaks = Math.max(waits, hearing.restarts.length);
  const [lower, higher] = [rungs[at - 1], rungs[at + 1]];
  if (breaks >= breaksToGoDown && lower !== undefined) return { way: "down", tempo: lower };
  const clean = breaks === 0 && work.length === 0 && everyNote(hearing);
  if (clean && higher !== undefined) return { way: "up", tempo: higher };
  return { way: "stay", tempo };
}

/// Place of the rung that `tempo` is at, less than a mark of the metronome away; −1 without one.
function nearest(rungs: readonly number[], tempo: number): number {
  return rungs.findIndex((rung) => Math.abs(rung - tempo) <= aMark * rung);
}

/// Where to practise a hard place: the next rung below, or a little slower where there is none.
export function slower(rungs: readonly number[], tempo: number): number {
  const below = rungs.filter((rung) => rung < tempo);
  return below.length > 0 ? Math.max(...below) : Math.round(slowerShare * tempo);
}
