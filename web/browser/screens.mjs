// Takes a picture of every page of the desk and of the take-home page, small to large, light and dark,
// to be looked at: node browser/screens.mjs [WORD]. With WORD only those whose name holds it.
import { mkdirSync } from "node:fs";
import { closeAll, openPage, startDesk } from "./desk.mjs";
import { demo, playedTake, shots, takeHome, takeOf } from "./files.mjs";

const folder = `${shots}screens`;
const word = process.argv[2] ?? "";
mkdirSync(folder, { recursive: true });

const colours = ["light", "dark"];
const deskSizes = [[390, 844], [820, 1180], [1440, 900], [1920, 1080]];
const phoneSizes = [[360, 640], [390, 844], [820, 1180], [844, 390]];

async function heard(home) {
  for (;;) {
    const { takes } = await (await fetch(`${home}/api/takes`)).json();
    if (takes.length > 0 && takes.every((take) => take.state === "heard")) return takes;
    await new Promise((done) => setTimeout(done, 500));
  }
}

async function post(address, body) {
  const headers = { "X-Endpin": "1", "Content-Type": "application/json" };
  const answer = await fetch(address, { method: "POST", body: JSON.stringify(body), headers });
  return answer.json();
}

const tune = "X:1\nT:Open strings\nM:4/4\nL:1/4\nK:D clef=bass\nD,2 A,2 | D3 |\n";

/// Places of the desk on the demo book, each with a draft and a lesson of its own to show.
async function deskPages(home) {
  const takes = await heard(home);
  const draft = await post(`${home}/api/drafts`, { text: tune, instrument: "cello" });
  const [take] = takes;
  const piece = take.piece.id;
  return {
    book: "#/", piece: `#/pieces/${piece}`, bar: `#/pieces/${piece}/bars/4`, lesson: `#/pieces/${piece}/lesson`, set: `#/pieces/${piece}/set`,
    takes: "#/takes", take: `#/takes/${take.id}`, students: "#/students", student: "#/students/1",
    lessons: "#/lessons", settings: "#/settings", write: `#/write/${draft.id ?? 1}`,
  };
}

/// All of the page, its foot at the end; what is too wide and too small to be touched is printed.
async function picture(page, name) {
  const { width, height } = page.viewportSize();
  await page.waitForTimeout(600);
  for (const line of await page.evaluate(wrongSizes)) console.log(`${name}: ${line}`);
  const whole = await page.evaluate(() => document.documentElement.scrollHeight);
  await page.setViewportSize({ width, height: Math.min(8000, Math.max(height, whole)) });
  await page.waitForTimeout(150);
  await page.screenshot({ path: `${folder}/${name}.png` });
  await page.setViewportSize({ width, height });
}

/// A target of less than 24 px is too small unless the music puts it there (WCAG 2.5.8).
function wrongSizes() {
  const over = document.documentElement.scrollWidth - innerWidth;
  const small = [...document.querySelectorAll("button, a[href], input:not([type=hidden]), select, summary")]
    .filter((control) => !control.matches("[data-note], p a, label input") && control.checkVisibility())
    .map((control) => ({ control, box: control.getBoundingClientRect() }))
    .filter(({ box }) => box.width > 1 && Math.min(box.width, box.height) < 24)
    .map(({ control, box }) => `${control.outerHTML.slice(0, 60)} is ${Math.round(box.width)} × ${Math.round(box.height)}`);
  return [...(over > 0 ? [`${over} px too wide`] : []), ...small];
}

async function emptyDesk() {
  const home = await startDesk();
  for (const [width, height] of deskSizes) {
    const { page } = await openPage({ home, width, height });
    for (const place of ["", "takes", "students", "lessons"]) {
      await page.goto(`${home}/#/${place}`);
      await page.locator("h1").first().waitFor();
      await picture(page, `empty-${place || "book"}-${width}-light`);
    }
    await page.context().browser().close();
  }
}

async function desk() {
  const home = await startDesk({ demo: demo("").replace(/\/$/, "") });
  const pages = await deskPages(home);
  for (const [width, height] of deskSizes) {
    for (const colorScheme of colours) {
      const { page } = await openPage({ home, width, height, colorScheme });
      for (const [name, place] of Object.entries(pages)) {
        if (!name.includes(word) && !"desk".includes(word)) continue;
        await page.goto(`${home}/${place}`);
        await page.locator("h1").first().waitFor();
        await picture(page, `${name}-${width}-${colorScheme}`);
      }
      await page.context().browser().close();
    }
  }
}

async function phone() {
  const home = takeHome();
  const take = takeOf("ilva-ode-to-joy.opus");
  for (const [width, height] of phoneSizes) {
    for (const colorScheme of colours) {
      const { page } = await openPage({ home, width, height, colorScheme, microphone: playedTake() });
      const at = `${width}x${height}-${colorScheme}`;
      await page.goto(home);
      await page.locator(".engraved .notehead").first().waitFor();
      await picture(page, `home-first-${at}`);
      await page.getByRole("button", { name: "Tune" }).click();
      await page.getByRole("button", { name: "Listen to my string" }).click();
      await picture(page, `home-tune-${at}`);
      await page.getByRole("button", { name: /The piece/ }).click();
      await page.getByRole("button", { name: "Record", exact: true }).click();
      await page.getByRole("button", { name: "Count in and record" }).waitFor();
      await picture(page, `home-record-${at}`);
      await page.getByRole("button", { name: "Cancel" }).click();
      await page.locator('input[data-role="recording"]').setInputFiles(take);
      await page.getByRole("button", { name: "What do you hear?" }).click();
      await page.locator("[data-said]").waitFor({ timeout: 60000 });
      await page.getByRole("button", { name: "Send to my teacher" }).click();
      await picture(page, `home-heard-${at}`);
      await page.context().browser().close();
    }
  }
}

try {
  if ("empty".includes(word)) await emptyDesk();
  if ("home".includes(word)) await phone();
  await desk();
} finally {
  await closeAll();
}
