import { beforeEach, expect, test, vi } from "vitest";
import { pitchName } from "../src/words/pitch";
import { speak } from "../src/words/words.svelte";

beforeEach(() => vi.stubGlobal("document", { documentElement: { lang: "" } }));

/// German: B natural is H, B flat is B (common practice), -is and -es on the letter.
test.each([
  ["en-US", "F♯3", "B♭2", "B2"],
  ["de", "Fis3", "B2", "H2"],
  ["fr", "fa♯3", "si♭2", "si2"],
] as const)("in %s pitches have their own names", async (language, fis, flat, natural) => {
  await speak(language);
  expect([pitchName("F#3"), pitchName("Bb2"), pitchName("B2")]).toEqual([fis, flat, natural]);
});

test("German contracts Es and As", async () => {
  await speak("de");
  expect([pitchName("Eb3"), pitchName("Ab3"), pitchName("Db3")]).toEqual(["Es3", "As3", "Des3"]);
});
