// What axe-core finds on a page: WCAG 2.2 A and AA.
import { readFileSync } from "node:fs";
import { timed } from "./desk.mjs";

const source = readFileSync(new URL("../node_modules/axe-core/axe.min.js", import.meta.url), "utf8");

/// Serious and critical findings, each with the places it was found at.
export function seriousFindings(page) {
  return timed("axe", () => found(page));
}

async function found(page) {
  await page.evaluate(source);
  const { violations } = await page.evaluate(() =>
    globalThis.axe.run(document, {
      runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"],
      // What passes is looked at all the same, but not written down note by note.
      resultTypes: ["violations"],
    }),
  );
  // The bars and notes of a staff stand where the music puts them (WCAG 2.5.8, essential), and one
  // that lies half under the foot of the page is scrolled out from it.
  const essential = (node) => node.html.includes("data-note");
  return violations
    .map((v) => (v.id === "target-size" ? { ...v, nodes: v.nodes.filter((n) => !essential(n)) } : v))
    .filter((v) => v.nodes.length > 0 && ["serious", "critical"].includes(v.impact))
    .map((v) => `${v.id}: ${v.nodes.slice(0, 4).map((n) => n.html.slice(0, 160)).join(" | ")}`);
}
