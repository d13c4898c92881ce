// Every page of the desk: what axe-core finds, and that nothing is wider than the screen. Pictures
// are kept, to be looked at.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { seriousFindings } from "./axe.mjs";
import { openPage, startDesk } from "./desk.mjs";
import { demo, score, shots } from "./files.mjs";

const screens = [
  [390, 844, "light"],
  [820, 1180, "dark"],
  [1440, 900, "light"],
  [1920, 1080, "dark"],
];
const pages = {
  book: "#/", piece: "#/pieces/1", take: "#/takes/1", takes: "#/takes", students: "#/students",
  student: "#/students/1", lesson: "#/pieces/1/lesson", set: "#/pieces/1/set", lessons: "#/lessons", write: "#/write/1", bars: "#/pieces/1/bars/4", settings: "#/settings",
};

function post(address, body, type) {
  return fetch(address, { method: "POST", body, headers: { "X-Endpin": "1", "Content-Type": type } });
}

let filled;
/// One for all tests of this file: they only look at it.
function filledDesk() {
  return (filled ??= fill());
}

async function fill() {
  const home = await startDesk({ forFile: true });
  await post(`${home}/api/pieces?name=ode-to-joy.musicxml`, readFileSync(score), "application/octet-stream");
  const student = { name: "Ilva", instrument: "cello", size: "3/4", step: "first-position" };
  await post(`${home}/api/students`, JSON.stringify(student), "application/json");
  const take = readFileSync(demo("takes/ilva-ode-to-joy.opus"));
  await post(`${home}/api/takes?name=ilva.opus&piece=1&student=1`, take, "application/octet-stream");
  const tune = { text: "X:1\nT:Open strings\nM:4/4\nL:1/4\nK:D clef=bass\nD,2 A,2 | D3 |\n", instrument: "cello" };
  await post(`${home}/api/drafts`, JSON.stringify(tune), "application/json");
  for (let i = 0; i < 120; ++i) {
    const { state } = await (await fetch(`${home}/api/takes/1`)).json();
    if (state === "heard" || state === "failed") break;
    await new Promise((done) => setTimeout(done, 250));
  }
  return home;
}

export default screens.map(([width, height, colorScheme]) => ({
  name: `axe-core finds nothing serious on any page of the desk, and nothing is wider than its screen: ${width}, ${colorScheme}`,
  async run() {
    const home = await filledDesk();
    const { page } = await openPage({ home, width, height, colorScheme, bypassCSP: true });
    for (const [name, hash] of Object.entries(pages)) {
      await page.goto(`${home}/${hash}`);
      await page.reload();
      await page.locator("h1").first().waitFor();
      await page.waitForTimeout(500);
      const at = `${name}-${width}-${colorScheme}`;
      await page.screenshot({ path: `${shots}/${at}.png` });
      assert.deepEqual(await seriousFindings(page), [], at);
      const over = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
      assert.ok(over <= 0, `${at} is ${over} px too wide`);
    }
  },
}));
