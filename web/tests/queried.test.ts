import { afterEach, expect, test } from "vitest";
import { queried } from "../src/piece/queried";
import { speak } from "../src/words/words.svelte";

const tooShort = { place: "26", what: "bar 3, voice 1 lasts 3 beats but 4/4 needs 4", remedy: "Add a rest." };

afterEach(() => speak("en-US"));

test("what is to query begins with what and where, in the page's own word for a bar", async () => {
  expect(queried(tooShort)).toBe("Measure 3, voice 1 lasts 3 beats but 4/4 needs 4. Add a rest. (line 26)");
  expect(queried({ place: "bar 4", what: "more than 20 bars", remedy: "" })).toBe("Measure 4: more than 20 measures");
  globalThis.document ??= { documentElement: {} } as Document;
  await speak("en-GB");
  expect(queried(tooShort)).toBe("Bar 3, voice 1 lasts 3 beats but 4/4 needs 4. Add a rest. (line 26)");
});

test("what has no place or no remedy is said without", () => {
  expect(queried({ place: "", what: "2 more things like these", remedy: "" })).toBe("2 more things like these");
});
