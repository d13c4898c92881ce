import { expect, test } from "vitest";
import { changeOfKey, moved, readPitch, typedChange, withAccidental } from "../src/mend/change";

const key = (key: string, shiftKey = false) => ({ key, shiftKey, ctrlKey: false, metaKey: false, altKey: false });
const note = { pitch: "F4", dots: 0, rest: false };

// A staff step takes what the signature says: D major has F sharp and C sharp.
test("a step of the staff takes the key's own sharps and flats", () => {
  expect(moved("E4", 1, 2)).toBe("F#4");
  expect(moved("B4", 1, 2)).toBe("C#5");
  expect(moved("C4", -1, -2)).toBe("Bb3");
  expect(moved("D4", 7, 0)).toBe("D5");
});

test("an accidental that is there goes back to the key's", () => {
  expect(withAccidental("F4", 1, 0)).toBe("F#4");
  expect(withAccidental("F#4", 1, 0)).toBe("F4");
  expect(withAccidental("F#4", 0, 1)).toBe("F4");
  expect(withAccidental("F4", 0, 1)).toBe("F#4");
});

test("keys are those of the panel", () => {
  expect(changeOfKey(key("ArrowUp"), note, 1)).toEqual({ pitch: "G4" });
  expect(changeOfKey(key("ArrowDown", true), note, 1)).toEqual({ pitch: "F#3" });
  expect(changeOfKey(key("8"), note, 0)).toEqual({ value: "eighth" });
  expect(changeOfKey(key("."), { ...note, dots: 1 }, 0)).toEqual({ dots: 0 });
  expect(changeOfKey(key("a"), note, 0)).toEqual({ pitch: "A4" });
  expect(changeOfKey(key("c"), note, 0)).toEqual({ pitch: "C4" });
  expect(changeOfKey(key("z"), note, 0)).toEqual({ rest: true });
  expect(changeOfKey(key("Delete"), note, 0)).toEqual({ removed: true });
  expect(changeOfKey(key("x"), note, 0)).toBeUndefined();
  expect(changeOfKey({ ...key("z"), ctrlKey: true }, note, 0)).toBeUndefined();
});

// ABC 2.1, sections 4.1 to 4.5: middle C is "C", an octave up is "c", "^" before raises, "3/2" lasts.
test("a note is typed as ABC writes it, where a quarter is 1", () => {
  expect(typedChange("^f3/2", 0)).toEqual({ pitch: "F#5", value: "quarter", dots: 1 });
  expect(typedChange("C,/", 0)).toEqual({ pitch: "C3", value: "eighth", dots: 0 });
  expect(typedChange("F", 1)).toEqual({ pitch: "F#4", value: "quarter", dots: 0 });
  expect(typedChange("=F2", 1)).toEqual({ pitch: "F4", value: "half", dots: 0 });
  expect(typedChange("z4", 0)).toEqual({ rest: true, value: "whole", dots: 0 });
  for (const none of ["", "AB", "?", "H", "A5"]) expect(typedChange(none, 0), none).toBeUndefined();
});

test("what is no pitch stays as it is", () => {
  expect(readPitch("rest")).toBeUndefined();
  expect(moved("rest", 1, 0)).toBe("rest");
});
