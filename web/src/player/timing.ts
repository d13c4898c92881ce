/// Seconds of a sound against played quarters of the part, in both directions.
import type { Sound } from "../contracts/desk";
import type { Hearing } from "../contracts/hearing";
import { quarters, type Timeline } from "../contracts/timeline";

interface Point {
  s: number;
  q: number;
}

export class Timing {
  private constructor(private readonly points: readonly Point[]) {}

  /// Of a rendered sound: every note says when it starts and ends.
  static ofSound(sound: Sound, timeline: Timeline): Timing {
    return Timing.of(
      sound.notes.map((n) => ({ index: n.index, from: n.onset_s, to: n.offset_s })),
      timeline,
    );
  }

  /// Of a recording: only the notes that were heard.
  static ofHearing(hearing: Hearing, timeline: Timeline): Timing {
    return Timing.of(
      hearing.notes.flatMap((n) =>
        n.heard ? [{ index: n.index, from: n.heard.onset_s, to: n.heard.offset_s ?? n.heard.onset_s + 0.3 }] : [],
      ),
      timeline,
    );
  }

  private static of(
    notes: { index: number; from: number; to: number }[],
    timeline: Timeline,
  ): Timing {
    const points: Point[] = [];
    for (const n of [...notes].sort((a, b) => a.from - b.from)) {
      const note = timeline.notes[n.index];
      if (note) points.push({ s: n.from, q: quarters(note.onset_quarters) });
    }
    const last = notes.reduce((a, b) => (b.to > (a?.to ?? -1) ? b : a), notes[0]);
    const lastNote = last && timeline.notes[last.index];
    if (last && lastNote) {
      const end = quarters(lastNote.onset_quarters) + quarters(lastNote.duration_quarters);
      points.push({ s: last.to, q: end });
    }
    return new Timing(points);
  }

  /// The played place at second `s`; nothing before the first note or after the last.
  quartersAt(s: number): number | undefined {
    const next = this.points.findIndex((p) => p.s > s);
    const [a, b] = [this.points[next - 1], this.points[next]];
    if (!a || !b) return undefined;
    // A jump back (a new start) is not travelled; the place stays until the next note sounds.
    if (b.q <= a.q) return a.q;
    return a.q + ((b.q - a.q) * (s - a.s)) / Math.max(b.s - a.s, 1e-6);
  }

  /// The first second at which the part has come to `q`.
  secondsAt(q: number): number | undefined {
    for (let i = 0; i < this.points.length; ++i) {
      const [a, b] = [this.points[i], this.points[i + 1]];
      if (a && Math.abs(a.q - q) < 1e-9) return a.s;
      if (a && b && a.q < q && q < b.q) return a.s + ((q - a.q) / (b.q - a.q)) * (b.s - a.s);
    }
    return undefined;
  }
}
