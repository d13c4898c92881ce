/// Cautions where playing, loudness and children are concerned (docs/safety.md) stand in every
/// language, and where they matter: in what the component shows, not in its script.
import { readFileSync, readdirSync } from "node:fs";
import { expect, test } from "vitest";

const words = new URL("../src/words/", import.meta.url);
const sheets = new URL("../../data/catalogue/lesson/", import.meta.url);
const languages = readdirSync(words).filter((name) => name.endsWith(".json"));
const english = catalogue(words, "en-US.json");

function catalogue(folder: URL, name: string): Record<string, string> {
  return JSON.parse(readFileSync(new URL(name, folder), "utf8")) as Record<string, string>;
}
function shownBy(component: string): string {
  const source = readFileSync(new URL(`../src/${component}`, import.meta.url), "utf8");
  return source.replace(/<script[\s\S]*?<\/script>|<style[\s\S]*?<\/style>|<!--[\s\S]*?-->/g, "");
}

/// Which caution, and the places that must show it.
const cautions: [string, string[]][] = [
  ["settings.minors", ["book/FirstQuestions.svelte", "book/Settings.svelte", "students/StudentForm.svelte"]],
  ["settings.health", ["book/Settings.svelte"]],
  ["settings.loudness", ["book/Settings.svelte"]],
  ["record.consent", ["takes/Recordings.svelte", "piece/PiecePage.svelte"]],
  ["home.pegs", ["takehome/Tuning.svelte"]],
  ["home.bassPegs", ["takehome/Tuning.svelte"]],
  ["home.headphones", ["takehome/HomeRecorder.svelte"]],
  ["home.headphonesSoft", ["takehome/HomeRecorder.svelte"]],
  ["home.askGrownUp", ["takehome/HomeTakes.svelte"]],
];

test.each(cautions)("%s is said in every language", (key) => {
  expect(languages.length).toBe(7);
  for (const language of languages) {
    const sentence = catalogue(words, language)[key] ?? "";
    expect(sentence.length, language).toBeGreaterThan(15);
    if (!language.startsWith("en")) expect(sentence, language).not.toBe(english[key]);
  }
});

test.each(cautions)("%s is shown where it matters", (key, places) => {
  for (const place of places) expect(shownBy(place), place).toContain(`"${key}"`);
});

test("the sheet's and the page's cautions are in every language, and the page shows them", () => {
  const said = new Set<string>();
  for (const language of languages) {
    const own = catalogue(sheets, language)["sheet.cautions"];
    if (own === undefined) expect(language).toBe("en-GB.json");
    else said.add(own);
  }
  expect(said.size).toBeGreaterThanOrEqual(6);
  expect(shownBy("takehome/TakeHome.svelte")).toContain("{lesson.cautions}");
});
