// A teacher's first week in the browser, on real files: from the empty book to the heard take.
import assert from "node:assert/strict";
import { mkdirSync } from "node:fs";
import { happensToMicrophone, knownTracks, openPage, startDesk } from "./desk.mjs";
import { playedTake, score, shots } from "./files.mjs";

mkdirSync(shots, { recursive: true });

async function addScore(page, home) {
  await page.goto(home);
  await page.getByRole("heading", { name: "This book is empty. Begin with a piece." }).waitFor();
  await page.locator('input[data-role="score"]').setInputFiles(score);
  await page.getByRole("heading", { level: 1, name: /Ode to Joy/ }).waitFor();
  await page.locator(".engraved .notehead").first().waitFor({ timeout: 30000 });
}

async function heardTake(page) {
  await page.getByRole("heading", { level: 1, name: "Nobody yet" }).waitFor();
  await page.locator(".lanes .held").first().waitFor({ timeout: 60000 });
}

export default [
  {
    name: "from the empty book to a piece with markings that plays",
    async run() {
      const home = await startDesk();
      const { page, complaints } = await openPage({ home });
      await addScore(page, home);
      await page.screenshot({ path: `${shots}/piece.png`, fullPage: true });

      const note = page.locator("[data-note='2']");
      await note.click();
      await page.getByRole("group", { name: "Finger" }).getByRole("button", { name: "2", exact: true }).click();
      await page.getByRole("group", { name: "Finger" }).locator('[aria-pressed="true"]', { hasText: "2" }).waitFor();
      assert.match(await note.getAttribute("aria-label"), /finger 2/);
      await page.getByRole("button", { name: "Undo" }).click();
      await page.waitForFunction(() => !/finger 2/.test(document.querySelector("[data-note='2']").ariaLabel));

      await note.focus();
      await page.keyboard.press("ArrowRight");
      await page.keyboard.press("u");
      await page.waitForFunction(() => /up-bow/.test(document.querySelector("[data-note='3']").ariaLabel));

      await page.getByRole("button", { name: "Play", exact: true }).click();
      await page.locator(".over .bow").first().waitFor({ timeout: 20000 });
      await page.getByRole("button", { name: "Stop" }).click();
      assert.deepEqual(complaints, []);
    },
  },
  {
    name: "a recording that is loaded is heard and drawn under the staff",
    async run() {
      const home = await startDesk();
      const { page, complaints } = await openPage({ home });
      await addScore(page, home);
      await page.locator('input[data-role="recording"]').setInputFiles(playedTake());
      await heardTake(page);
      await page.locator("[data-note='0']").click();
      await page.getByRole("button", { name: "Hear this note" }).click();
      await page.screenshot({ path: `${shots}/take.png`, fullPage: true });
      await page.getByLabel("To the student").waitFor();
      assert.deepEqual(complaints, []);
    },
  },
  {
    name: "the microphone records, and what it recorded is heard",
    async run() {
      const home = await startDesk();
      const { page, complaints } = await openPage({ home, microphone: playedTake() });
      await addScore(page, home);
      await page.getByRole("button", { name: "Record", exact: true }).click();
      await page.getByText(/Recording: 6 s/).waitFor({ timeout: 20000 });
      await page.getByRole("button", { name: "Stop and listen" }).click();
      await heardTake(page);
      assert.deepEqual(complaints, []);
    },
  },
  {
    name: "what was recorded until the microphone went away is a take, and the desk says what happened",
    async run() {
      const home = await startDesk();
      const { page, complaints } = await openPage({ home, microphone: playedTake() });
      await page.addInitScript(knownTracks);
      await addScore(page, home);
      await page.getByRole("button", { name: "Record", exact: true }).click();
      await page.getByText(/Recording: 6 s/).waitFor({ timeout: 20000 });
      await happensToMicrophone(page, "ended");
      await page.getByRole("alert").filter({ hasText: "What was recorded until then is kept." }).waitFor();
      await page.getByRole("link", { name: /Nobody yet/ }).click();
      await heardTake(page);
      assert.deepEqual(complaints, []);
    },
  },
  {
    name: "a newcomer comes from a chosen recording to words for the student, asked for nothing on the way",
    async run() {
      const home = await startDesk();
      const { page, complaints } = await openPage({ home });
      await addScore(page, home);
      await page.getByRole("link", { name: "Takes" }).click();
      assert.equal(await page.getByLabel("Search names, pieces, files").count(), 0, "nothing to search yet");
      const [chooser] = await Promise.all([
        page.waitForEvent("filechooser"),
        page.getByRole("button", { name: "Choose recordings" }).click(),
      ]);
      await chooser.setFiles(playedTake());
      await page.getByRole("link", { name: /Nobody yet.*Ode to Joy/ }).click();
      await heardTake(page);
      await page.waitForFunction(() => document.querySelector("textarea")?.value.length > 0);
      await page.getByRole("link", { name: "Add a student" }).click();
      await page.getByRole("heading", { level: 1, name: "Students" }).waitFor();
      await page.getByRole("link", { name: "Lessons" }).click();
      await page.getByRole("main").getByRole("link", { name: "Book" }).click();
      await page.getByRole("heading", { level: 1, name: "Pieces" }).waitFor();
      assert.deepEqual(complaints, []);
    },
  },
];
