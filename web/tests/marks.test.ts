import { expect, test } from "vitest";
import type { Finding, Hearing } from "../src/contracts/hearing";
import type { PlacedNote } from "../src/engraving/part";
import { marksOf, pitchHeight, timeHeight } from "../src/lanes/marks";
import { heard, system, timeline } from "./part";

const placed: PlacedNote[] = [0, 1, 2].map((i) => ({
  note: timeline.notes[i]!,
  onset: i,
  duration: 1,
  head: system.heads.get(timeline.notes[i]!.id)!,
  stretch: { system: 0, from: 100 * (i + 1), to: 100 * (i + 2) },
}));

function marks(notes: Hearing["notes"], findings: Partial<Finding>[] = []) {
  return marksOf(placed, { notes, findings } as Hearing, 1, 0, 1);
}

test("a sharp note stands above the line, a flat one below, by as much as it is off", () => {
  const [sharp, flat, even] = marks([heard(0, 1, 25), heard(1, 2, -25), heard(2, 3, 0)]);
  expect(even!.pitch).toBe(pitchHeight / 2);
  expect(sharp!.pitch!).toBeLessThan(even!.pitch!);
  expect(flat!.pitch! - even!.pitch!).toBeCloseTo(even!.pitch! - sharp!.pitch!);
});

test("a late note stands below its line, an early one above", () => {
  const [late, early] = marks([heard(0, 1, 0, 40), heard(1, 2, 0, -40)]);
  expect(late!.time!).toBeGreaterThan(timeHeight / 2);
  expect(early!.time!).toBeLessThan(timeHeight / 2);
});

test("what is unknown has no mark, instead of one at zero", () => {
  const [unknown] = marks([heard(0, 1, null)]);
  expect(unknown!.pitch).toBeUndefined();
});

test("a mark beyond the edge stays in the lane and says that it is beyond", () => {
  const [far] = marks([heard(0, 1, -180)]);
  expect(far!.beyondPitch).toBe(true);
  expect(far!.pitch!).toBeLessThan(pitchHeight);
});

test("a finding marks its own lane only, and a good one none", () => {
  const findings = [
    { kind: "flat", tone: "work", notes: [0] },
    { kind: "in-tune", tone: "good", notes: [1] },
  ] as Finding[];
  const [flat, good] = marks([heard(0, 1), heard(1, 2)], findings);
  expect([...flat!.spoken]).toEqual(["pitch"]);
  expect([...good!.spoken]).toEqual([]);
});

test("each time through has its own marks", () => {
  const both = { notes: [heard(0, 1, 10), heard(3, 5, -10)], findings: [] as Finding[] } as Hearing;
  const first = marksOf(placed, both, 1, 0, 1)[0]!;
  const second = marksOf(placed, both, 2, 0, 1)[0]!;
  expect(first.index).toBe(0);
  expect(second.index).toBe(3);
});
