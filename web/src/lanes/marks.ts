/// Where the marks of a hearing stand in their lanes, in pixels. The lane's middle line is the
/// written pitch or the beat; beyond the lane's edge a mark stays on the edge and points outward.
import type { Finding, Hearing, NoteHearing } from "../contracts/hearing";
import type { PlacedNote } from "../engraving/part";

export const pitchHeight = 60;
export const timeHeight = 52;
export const lengthHeight = 20;
/// A quarter tone: half the way to the next written note, so beyond it another note is nearer.
export const pitchReach = 50;
/// A sixteenth at 96 beats a minute is 156 ms; further off is another place in the bar (ours).
export const timeReach = 150;

export interface Mark {
  index: number;
  hearing: NoteHearing;
  from: number;
  to: number;
  /// Pixels below the lane's upper edge; nothing where it is unknown.
  pitch: number | undefined;
  time: number | undefined;
  /// Right end of what sounded.
  held: number | undefined;
  beyondPitch: boolean;
  beyondTime: boolean;
  /// The lanes in which there is something to say about this note.
  spoken: ReadonlySet<Lane>;
}

export type Lane = "pitch" | "time" | "length";
export const everyLane: ReadonlySet<Lane> = new Set(["pitch", "time", "length"]);

export const laneOf: Partial<Record<Finding["kind"], Lane>> = {
  "wrong-note": "pitch",
  "missed-accidental": "pitch",
  flat: "pitch",
  sharp: "pitch",
  "string-out-of-tune": "pitch",
  hesitation: "time",
  early: "time",
  late: "time",
  uneven: "time",
  rushing: "time",
  dragging: "time",
  "other-bar-rhythm": "time",
  missed: "length",
  extra: "length",
  restart: "length",
  "short-held": "length",
  "not-separated": "length",
  "gap-in-slur": "length",
  "slur-not-played": "length",
};

function spokenLanes(hearing: Hearing): Map<number, Set<Lane>> {
  const spoken = new Map<number, Set<Lane>>();
  for (const finding of hearing.findings) {
    const lane = laneOf[finding.kind];
    if (!lane) continue;
    for (const note of finding.notes) spoken.set(note, (spoken.get(note) ?? new Set()).add(lane));
  }
  return spoken;
}

/// `scale` is pixels an engraving unit, `left` the system's left edge in units.
export function marksOf(
  notes: readonly PlacedNote[],
  hearing: Hearing,
  pass: number,
  left: number,
  scale: number,
): Mark[] {
  const spoken = spokenLanes(hearing);
  const byId = new Map<string, NoteHearing[]>();
  for (const n of hearing.notes) byId.set(n.id, [...(byId.get(n.id) ?? []), n]);
  return notes.flatMap((p) => {
    const heard = inPass(byId.get(p.note.id) ?? [], pass);
    if (!heard) return [];
    const from = (p.head.x - left) * scale;
    const to = Math.max(from + 4, (p.stretch.to - left) * scale - 5);
    const h = heard.heard;
    const cents = h?.intonation_cents ?? null;
    const late = h?.deviation_ms ?? null;
    const ratio = h?.sounding_ratio ?? null;
    return [
      {
        index: heard.index,
        hearing: heard,
        from,
        to,
        pitch: cents === null ? undefined : height(-cents / pitchReach, pitchHeight),
        time: late === null ? undefined : height(late / timeReach, timeHeight),
        held: ratio === null ? undefined : from + Math.min(1.15, Math.max(0, ratio)) * (to - from),
        beyondPitch: cents !== null && Math.abs(cents) > pitchReach,
        beyondTime: late !== null && Math.abs(late) > timeReach,
        spoken: spoken.get(heard.index) ?? new Set(),
      },
    ];
  });
}

/// The note in the wanted pass; where it was not reached in that one (a repeat left out), in the one
/// in which it was played.
function inPass(passes: readonly NoteHearing[], wanted: number): NoteHearing | undefined {
  const own = passes.find((n) => n.pass === wanted) ?? passes[0];
  return own?.state === "not-reached" ? (passes.find((n) => n.state !== "not-reached") ?? own) : own;
}

/// −1 is the upper edge, 1 the lower; 6 px stay free at both.
function height(share: number, whole: number): number {
  return whole / 2 + Math.max(-1, Math.min(1, share)) * (whole / 2 - 6);
}
