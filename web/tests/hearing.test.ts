import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { hearing } from "../src/contracts/hearing";
import { checked } from "../src/contracts/shape";
import { timeline } from "../src/contracts/timeline";

function fixture(name: string): unknown {
  return JSON.parse(readFileSync(new URL(`../../tests/fixtures/${name}`, import.meta.url), "utf8"));
}

test("the hearing that the native programs write is the one that the page reads", () => {
  const read = checked(hearing, fixture("hearing.json"), "hearing");
  expect(read.notes.map((n) => n.state)).toContain("missed");
  expect(read.notes.find((n) => n.state === "missed")?.heard).toBeNull();
});

test("the timeline that the native programs write is the one that the page reads", () => {
  const read = checked(timeline, fixture("timeline.json"), "timeline");
  expect(read.notes.map((n) => n.index)).toEqual(read.notes.map((_, i) => i));
});
