import { readdirSync, readFileSync } from "node:fs";
import { expect, test } from "vitest";
import enUS from "../src/words/en-US.json";

const folder = new URL("../src/words/", import.meta.url);
const names = ["en-GB", "de", "fr", "es", "it", "pt"];
const catalogues = Object.fromEntries(
  names.map((n) => [n, JSON.parse(readFileSync(new URL(`${n}.json`, folder), "utf8")) as Record<string, string>]),
);

function blanks(sentence: string): string[] {
  return (sentence.match(/\{\w+\}/g) ?? []).sort();
}

/// French, Spanish, Italian and Portuguese have a form for millions too; `other` serves for it.
test.each(names)("%s has every key, no other, and fills the same blanks", (name) => {
  const catalogue = catalogues[name]!;
  expect(Object.keys(catalogue).sort()).toEqual(Object.keys(enUS).sort());
  for (const [key, sentence] of Object.entries(enUS)) {
    expect(blanks(catalogue[key]!), key).toEqual(blanks(sentence));
    expect(catalogue[key]!.trim(), key).not.toBe("");
  }
});

test.each(names.slice(1))("%s is a translation, not a copy", (name) => {
  const same = Object.entries(enUS).filter(([k, v]) => catalogues[name]![k] === v && v.replace(/\{\w+\}/g, "").length > 12);
  expect(same.map(([key]) => key)).toEqual([]);
});

/// A sentence written into a component would be missing from six languages.
test("no component holds a sentence of its own", () => {
  const files = (readdirSync(new URL("../src", import.meta.url), { recursive: true }) as string[]).filter(
    (f) => f.endsWith(".svelte"),
  );
  expect(files.length).toBeGreaterThan(20);
  for (const file of files) {
    const source = readFileSync(new URL(`../src/${file}`, import.meta.url), "utf8");
    const markup = source
      .replace(/<script[\s\S]*?<\/script>|<style[\s\S]*?<\/style>|<!--[\s\S]*?-->/g, "")
      .replace(/\{[^{}]*\}/g, "")
      .replace(/\{[^{}]*\}/g, "");
    const sentences = [...markup.matchAll(/>([^<>{}]+)</g)].map((m) => m[1]!.trim());
    const own = sentences.filter((s) => /\p{L}{3,}/u.test(s) && !/^(Endpin|Letter|\W*=>.*)$/s.test(s));
    expect(own, file).toEqual([]);
  }
});
