import { expect, test } from "vitest";
import { checked, list, number, object, oneOf, orNull, text } from "../src/contracts/shape";

const note = object({ bar: text, cents: orNull(number), state: oneOf("heard", "missed") });

test("a value that fits is passed on, with members that the shape does not know", () => {
  const value = { bar: "3", cents: null, state: "heard", later: true };
  expect(checked(note, value)).toBe(value);
});

test("a value that does not fit is refused with the place of its first fault", () => {
  expect(() => checked(list(note), [{ bar: "3", cents: 1, state: "heard" }, { bar: 3 }], "notes")).toThrow(
    "notes[1].bar: not a string",
  );
  expect(() => checked(note, { bar: "3", state: "heard" })).toThrow("value.cents: missing");
  expect(() => checked(note, { bar: "3", cents: NaN, state: "heard" })).toThrow("not a number");
  expect(() => checked(note, { bar: "3", cents: 0, state: "lost" })).toThrow("not one of heard, missed");
});
