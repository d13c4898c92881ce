import { afterEach, expect, test } from "vitest";
import { queried } from "../src/piece/queried";
import { speak } from "../src/words/words.svelte";

const tooShort = { place: "26", what: "bar 3, voice 1 lasts 3 beats but 4/4 needs 4", remedy: "Add a rest." };

afterEach(() => speak("en-US"));

test("what is to query has the page's own word for a bar", async () => {
  expect(queried(tooShort)).toBe("26: measure 3, voice 1 lasts 3 beats but 4/4 needs 4. Add a rest.");
  expect(queried({ place: "bar 4", what: "more than 20 bars", remedy: "" })).toBe("measure 4: more than 20 measures");
  globalThis.document ??= { documentElement: {} } as Document;
  await speak("en-GB");
  expect(queried(tooShort)).toBe("26: bar 3, voice 1 lasts 3 beats but 4/4 needs 4. Add a rest.");
});

test("what has no place or no remedy is said without", () => {
  expect(queried({ place: "", what: "2 more things like these", remedy: "" })).toBe("2 more things like these");
});
