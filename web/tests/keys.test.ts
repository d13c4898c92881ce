import { expect, test } from "vitest";
import { markOfKey } from "../src/piece/keys";

function press(key: string, string?: number, held = {}) {
  return markOfKey({ key, ctrlKey: false, metaKey: false, altKey: false, ...held }, string);
}

test("digits are fingers, T the thumb, D and U bows", () => {
  expect(press("0")).toEqual({ finger: 0 });
  expect(press("4")).toEqual({ finger: 4 });
  expect(press("t")).toEqual({ finger: 5 });
  expect(press("D")).toEqual({ bow: "down" });
  expect(press("u")).toEqual({ bow: "up" });
});

test("arrows change the string and stop at the outer ones", () => {
  expect(press("ArrowUp", 2)).toEqual({ string: 1 });
  expect(press("ArrowUp", 1)).toEqual({ string: 1 });
  expect(press("ArrowDown", 4)).toEqual({ string: 4 });
  expect(press("ArrowUp")).toBeUndefined();
});

test("Delete takes the teacher's word back; the browser keeps its own keys", () => {
  expect(press("Delete")).toEqual({ finger: null, string: null, bow: null });
  expect(press("d", 1, { ctrlKey: true })).toBeUndefined();
  expect(press("5")).toBeUndefined();
  expect(press("Tab")).toBeUndefined();
});
