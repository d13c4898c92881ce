/// Two bars of 4/4 in one system, a repeat of the first, and a hearing of it; for the tests.
import type { Hearing } from "../src/contracts/hearing";
import type { Timeline } from "../src/contracts/timeline";
import type { Head, System } from "../src/engraving/systems";

const bars = [
  { bar: "1", written_index: 0, pass: 1, start_quarters: "0" },
  { bar: "1", written_index: 0, pass: 2, start_quarters: "4" },
  { bar: "2", written_index: 1, pass: 1, start_quarters: "8" },
].map((b) => ({ ...b, length_quarters: "4", beats: 4, beat_type: 4 }));

const written = [
  ["a", "1", 1, "0", "3/2"],
  ["b", "1", 1, "3/2", "1/2"],
  ["c", "1", 1, "2", "2"],
  ["a", "1", 2, "4", "3/2"],
  ["b", "1", 2, "11/2", "1/2"],
  ["c", "1", 2, "6", "2"],
  ["d", "2", 1, "8", "4"],
] as const;

export const timeline: Timeline = {
  schema: "endpin.timeline/1",
  title: "Two bars",
  part: "Cello",
  instrument: "cello",
  tempo: [{ at_quarters: "0", quarter_bpm: 60 }],
  tempo_is_given: true,
  beat_unit_quarters: "1",
  bars,
  notes: written.map(([id, bar, pass, onset_quarters, duration_quarters], index) => ({
    index, id, bar, pass, onset_quarters, duration_quarters, midi: 50, spelled: "D3", string: 2,
    finger: 0, open: true, plucked: false, stroke_id: null, slur_id: null, articulation: "none",
    chord_id: null,
  })),
};

const heads: Head[] = [
  ["a", 0, 100],
  ["b", 0, 160],
  ["c", 0, 200],
  ["d", 1, 320],
].map(([id, measure, x]) => ({ id: id as string, measure: measure as number, x: x as number, y: 0, top: -10 }));

export const system: System = {
  svg: undefined as unknown as SVGSVGElement,
  left: 0, top: -50, width: 400, height: 100, staffTop: 0, staffBottom: 40, space: 10,
  measures: [
    { order: 0, left: 50, right: 280 },
    { order: 1, left: 280, right: 400 },
  ],
  heads: new Map(heads.map((h) => [h.id, h])),
};

export function heard(index: number, onset_s: number, cents: number | null = 0, late = 0): Hearing["notes"][number] {
  const note = timeline.notes[index]!;
  return {
    index, id: note.id, bar: note.bar, pass: note.pass, midi: 50, state: "heard", attempts: [],
    onset_quarters: note.onset_quarters, duration_quarters: note.duration_quarters,
    heard: {
      onset_s, onset_uncertainty_ms: 8, offset_s: onset_s + 0.4, offset_uncertainty_ms: 35, midi: 50,
      intonation_cents: cents, uncertainty_cents: 2, deviation_ms: late, deviation_uncertainty_ms: 9,
      sounding_ratio: 0.9, sounding_ratio_uncertainty: 0.09, gap_s: null, level_dbfs: null, vibrato: null,
      confidence: 0.9,
    },
  };
}
