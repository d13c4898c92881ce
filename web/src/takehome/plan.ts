/// What is to sound, in quarters from where playing begins; pure, so that it can be tested.
import { quarters, type Timeline } from "../contracts/timeline";

export interface PlayOptions {
  /// Beats a minute of the timeline's beat unit.
  tempo: number;
  /// First and last bar, as printed; both played.
  bars?: { from: string; to: string } | undefined;
  countIn: boolean;
  click: boolean;
  model: boolean;
}

export type Sounding =
  | { kind: "note"; at: number; length: number; midi: number; plucked: boolean; slurred: boolean }
  | { kind: "click"; at: number; strong: boolean };

export interface Plan {
  events: Sounding[];
  /// Played quarters of the part; `from` sounds when the count-in is over.
  from: number;
  to: number;
  /// Quarters of the count-in.
  before: number;
  secondsPerQuarter: number;
}

/// How much of a note sounds: a little air between strokes, none inside a slur, half of a dot (ours,
/// as the programs play it).
const separate = 0.92;
const dotted = 0.5;
const longFrom = 1.5;

export function plan(timeline: Timeline, options: PlayOptions): Plan {
  const unit = quarters(timeline.beat_unit_quarters);
  const { from, to } = span(timeline, options.bars);
  const before = options.countIn ? countIn(timeline, from) : 0;
  const events: Sounding[] = [];
  for (let q = -before; q < -1e-9; q += unit) {
    events.push({ kind: "click", at: q, strong: Math.abs(q + before) < 1e-9 });
  }
  if (options.click) events.push(...clicks(timeline, from, to, unit));
  if (options.model) events.push(...notes(timeline, from, to));
  events.sort((a, b) => a.at - b.at);
  return { events, from, to, before, secondsPerQuarter: 60 / (options.tempo * unit) };
}

function span(timeline: Timeline, bars: PlayOptions["bars"]): { from: number; to: number } {
  const first = bars ? timeline.bars.find((b) => b.bar === bars.from) : timeline.bars[0];
  const start = quarters(first?.start_quarters ?? "0");
  const last = bars
    ? timeline.bars.find((b) => b.bar === bars.to && quarters(b.start_quarters) >= start)
    : timeline.bars[timeline.bars.length - 1];
  const end = quarters(last?.start_quarters ?? "0") + quarters(last?.length_quarters ?? "4");
  return { from: start, to: Math.max(end, start) };
}

/// A full bar, and before a pickup the beats that it leaves open too.
function countIn(timeline: Timeline, from: number): number {
  const bar = timeline.bars.find((b) => Math.abs(quarters(b.start_quarters) - from) < 1e-9);
  if (!bar) return 4;
  const full = (4 * bar.beats) / bar.beat_type;
  const length = quarters(bar.length_quarters);
  return length < full - 1e-9 ? full + (full - length) : full;
}

function clicks(timeline: Timeline, from: number, to: number, unit: number): Sounding[] {
  return timeline.bars.flatMap((bar) => {
    const start = quarters(bar.start_quarters);
    const length = quarters(bar.length_quarters);
    if (start < from - 1e-9 || start >= to - 1e-9) return [];
    // A pickup's beats are counted from its bar's end.
    const full = (4 * bar.beats) / bar.beat_type;
    const first = length < full ? length % unit : 0;
    const beats: Sounding[] = [];
    for (let q = first; q < length - 1e-9; q += unit) {
      beats.push({ kind: "click", at: start + q - from, strong: q === 0 && length >= full - 1e-9 });
    }
    return beats;
  });
}

function notes(timeline: Timeline, from: number, to: number): Sounding[] {
  return timeline.notes.flatMap((note, i) => {
    const onset = quarters(note.onset_quarters);
    if (onset < from - 1e-9 || onset >= to - 1e-9) return [];
    const length = quarters(note.duration_quarters);
    const next = timeline.notes[i + 1];
    const before = timeline.notes[i - 1];
    const joins = note.slur_id !== null && next?.slur_id === note.slur_id;
    const slurred = note.slur_id !== null && before?.slur_id === note.slur_id;
    const share = joins ? 1 : note.articulation === "staccato" ? dotted : length >= longFrom ? 1 : separate;
    return [
      {
        kind: "note",
        at: onset - from,
        length: length * share,
        midi: note.midi,
        plucked: note.plucked,
        slurred,
      },
    ];
  });
}
