import { expect, test } from "vitest";

import { oneChannel } from "../src/takehome/one-channel";

const sine = (phase: number): Float32Array =>
  Float32Array.from({ length: 4800 }, (_, i) => Math.sin((2 * Math.PI * 440 * i) / 48000 + phase));

const greatest = (sound: Float32Array): number => sound.reduce((m, s) => Math.max(m, Math.abs(s)), 0);

test("one channel stays as it is", () => {
  expect(oneChannel([sine(0)])).toEqual(sine(0));
});

test("two alike are their mean", () => {
  expect(greatest(oneChannel([sine(0), sine(0)]))).toBeCloseTo(1, 3);
});

// A balanced line carries the same wave twice, once turned over.
test("two that are opposed do not cancel", () => {
  const turned = sine(0).map((s) => -0.95 * s);
  expect(greatest(oneChannel([sine(0), turned]))).toBeCloseTo(0.975, 3);
});

test("two microphones a quarter of a wave apart are their mean", () => {
  expect(greatest(oneChannel([sine(0), sine(Math.PI / 2)]))).toBeCloseTo(Math.SQRT1_2, 2);
});

test("nothing stays nothing", () => {
  expect(oneChannel([])).toEqual(new Float32Array());
  expect(greatest(oneChannel([new Float32Array(9), new Float32Array(9)]))).toBe(0);
});
