import { expect, test } from "vitest";
import { StaffAxis } from "../src/engraving/axis";
import { system, timeline } from "./part";

const axis = new StaffAxis(timeline, [system]);

test("a note's onset stands on its head", () => {
  expect(axis.place(0)?.x).toBeCloseTo(100);
  expect(axis.place(1.5)?.x).toBeCloseTo(160);
  expect(axis.place(2)?.x).toBeCloseTo(200);
});

test("between two heads time runs evenly, after the last to the bar line", () => {
  expect(axis.place(0.75)?.x).toBeCloseTo(130);
  expect(axis.place(3)?.x).toBeCloseTo(240);
});

test("the second time through a repeat goes back to the same places", () => {
  expect(axis.place(4)?.x).toBeCloseTo(100);
  expect(axis.place(5.5)?.x).toBeCloseTo(160);
});

test("outside the part there is no place", () => {
  expect(axis.place(-1)).toBeUndefined();
  expect(axis.place(12.5)).toBeUndefined();
});

test("a note stretches to where the next begins, or to its bar line", () => {
  expect(axis.stretch(0, 1.5)).toEqual({ system: 0, from: 100, to: 160 });
  expect(axis.stretch(8, 12)).toEqual({ system: 0, from: 320, to: 400 });
});

test("every place lies inside its bar and never runs back within one", () => {
  let last = -1;
  for (let q = 8; q < 12; q += 0.05) {
    const x = axis.place(q)!.x;
    expect(x).toBeGreaterThanOrEqual(Math.max(280, last));
    expect(x).toBeLessThanOrEqual(400);
    last = x;
  }
});
