import { expect, test } from "vitest";
import type { Hearing } from "../src/contracts/hearing";
import { Timing } from "../src/player/timing";
import { heard, timeline } from "./part";

const sound = {
  seconds: 13,
  notes: timeline.notes.map((_, i) => ({
    index: i,
    onset_s: 1 + [0, 1.5, 2, 4, 5.5, 6, 8][i]!,
    offset_s: 1 + [1.5, 2, 4, 5.5, 6, 8, 12][i]!,
  })),
  clicks: [],
  bars: [],
};

test("a sound's seconds are its quarters, after the count-in", () => {
  const timing = Timing.ofSound(sound, timeline);
  expect(timing.quartersAt(0.5)).toBeUndefined();
  expect(timing.quartersAt(1)).toBeCloseTo(0);
  expect(timing.quartersAt(3.25)).toBeCloseTo(2.25);
  expect(timing.secondsAt(2.25)).toBeCloseTo(3.25);
  expect(timing.quartersAt(14)).toBeUndefined();
});

test("a note that was not heard leaves no hole", () => {
  const notes = [heard(0, 1), { ...heard(1, 2), state: "missed", heard: null }, heard(2, 3)];
  const timing = Timing.ofHearing({ notes } as Hearing, timeline);
  expect(timing.quartersAt(2)).toBeCloseTo(1);
});

test("before a new start the place waits instead of running backward", () => {
  const notes = [heard(0, 5), heard(1, 6), heard(2, 2)];
  const timing = Timing.ofHearing({ notes } as Hearing, timeline);
  expect(timing.quartersAt(3)).toBeCloseTo(2);
  expect(timing.quartersAt(5.5)).toBeCloseTo(0.75);
});
