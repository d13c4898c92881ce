// A score that was read wrong is put right on its page, and stands in another key.
import assert from "node:assert/strict";
import { seriousFindings } from "./axe.mjs";
import { openPage, startDesk } from "./desk.mjs";
import { shots } from "./files.mjs";

// The F should be sharp, and the second bar lost half a beat in reading.
const misread = "X:1\nT:Lantern walk\nM:4/4\nL:1/4\nK:C\nD E F G | A B/ c2 | G4 |]\n";

async function given(home) {
  const headers = { "X-Endpin": "1", "Content-Type": "application/octet-stream" };
  const answer = await fetch(`${home}/api/pieces?name=lantern.abc&instrument=violin`, { method: "POST", body: misread, headers });
  return (await answer.json()).id;
}
async function played(home, piece) {
  const { notes } = await (await fetch(`${home}/api/pieces/${piece}/timeline`)).json();
  return notes.map((n) => `${n.spelled}:${n.duration_quarters}`).join(" ");
}
async function opened(home, options = {}) {
  const piece = await given(home);
  const { page, complaints } = await openPage({ home, ...options });
  await page.goto(`${home}/#/pieces/${piece}`);
  await page.locator("[data-note]").first().waitFor({ timeout: 60000 });
  return { page, complaints, piece };
}
async function until(what, wanted) {
  for (let i = 0; i < 150; ++i) {
    if ((await what()) === wanted) return;
    await new Promise((done) => setTimeout(done, 100));
  }
  assert.equal(await what(), wanted);
}
async function shot(page, name) {
  for (const [width, height, shape] of [[390, 844, "phone"], [820, 1180, "tablet"], [1440, 900, "laptop"]]) {
    await page.setViewportSize({ width, height });
    for (const colorScheme of ["light", "dark"]) {
      await page.emulateMedia({ colorScheme });
      await page.screenshot({ path: `${shots}/${name}-${shape}-${colorScheme}.png` });
    }
  }
  await page.setViewportSize({ width: 1280, height: 900 });
  await page.emulateMedia({ colorScheme: "light" });
}

export default [
  {
    name: "a note read wrong is touched and put right by key, sign, value and text, and taken back",
    async run() {
      const home = await startDesk({});
      const { page, complaints, piece } = await opened(home);
      const now = () => played(home, piece);
      await page.getByRole("button", { name: "Mend the notes" }).click();
      await page.locator("[data-note='2']").click();
      const panel = page.getByRole("region", { name: "Mend the notes" });
      await panel.getByRole("button", { name: "Sharp" }).click();
      await until(now, "D4:1 E4:1 F#4:1 G4:1 A4:1 B4:1/2 C5:2 G4:4");
      await panel.getByRole("button", { name: /Measure 2: 3.5 of 4/ }).click();
      await panel.getByText("Measure 2 does not add up yet.").waitFor();
      await shot(page, "mend");
      assert.deepEqual(await seriousFindings(page), []);
      await panel.getByRole("button", { name: "B4, eighth note" }).click();
      await panel.getByRole("button", { name: "quarter note", exact: true }).click();
      await until(now, "D4:1 E4:1 F#4:1 G4:1 A4:1 B4:1 C5:2 G4:4");
      await panel.getByText("does not add up").waitFor({ state: "detached" });
      await panel.getByLabel("Typed (^f3/2)").fill("^c");
      await page.keyboard.press("Enter");
      await until(now, "D4:1 E4:1 F#4:1 G4:1 A4:1 C#5:1 C5:2 G4:4");
      await panel.getByRole("button", { name: "C♯5, quarter note" }).click();
      await page.keyboard.press("ArrowDown");
      await until(now, "D4:1 E4:1 F#4:1 G4:1 A4:1 B4:1 C5:2 G4:4");
      await panel.getByRole("button", { name: "A note behind it" }).click();
      await until(now, "D4:1 E4:1 F#4:1 G4:1 A4:1 B4:1 B4:1 C5:2 G4:4");
      await page.keyboard.press("Control+z");
      await until(now, "D4:1 E4:1 F#4:1 G4:1 A4:1 B4:1 C5:2 G4:4");
      await panel.getByText("What you mended").click();
      await panel.getByRole("button", { name: "Take it back" }).first().click();
      await until(now, "D4:1 E4:1 F4:1 G4:1 A4:1 B4:1 C5:2 G4:4");
      await panel.getByRole("button", { name: "Take all back" }).click();
      await until(now, "D4:1 E4:1 F4:1 G4:1 A4:1 B4:1/2 C5:2 G4:4");
      const file = await (await fetch(`${home}/api/pieces/${piece}/file`)).text();
      assert.equal(file, misread);
      assert.deepEqual(complaints, []);
    },
  },
  {
    name: "a piece is transposed by key and by interval, as a view and as a piece, its range said first",
    async run() {
      const home = await startDesk({});
      const { page, complaints, piece } = await opened(home);
      const wish = page.getByLabel("To another key");
      await wish.selectOption("interval -P8");
      await page.getByText(/The instrument does not have/).waitFor();
      await wish.selectOption("key D");
      await page.getByText(/Sounds from E4 to D5/).waitFor();
      await shot(page, "transpose");
      await page.getByRole("button", { name: "Show it like this" }).click();
      await page.getByText("D major").waitFor();
      assert.match(await played(home, piece), /^E4:1 F#4:1 G4:1 A4:1/);
      await page.getByRole("button", { name: "Back to the file’s key" }).click();
      await page.getByText("C major").waitFor();
      await wish.selectOption("interval M2");
      await page.getByRole("button", { name: "As a new piece" }).click();
      await page.getByText("D major").waitFor({ timeout: 60000 });
      assert.ok(!page.url().endsWith(`/pieces/${piece}`));
      assert.match(await played(home, piece), /^D4:1 E4:1 F4:1/);
      assert.deepEqual(complaints, []);
    },
  },
];
