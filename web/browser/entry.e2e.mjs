// Writing a tune by hand: the three demo tunes, typed and touched, are note by note what their
// MusicXML says.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { seriousFindings } from "./axe.mjs";
import { demoScore, typed } from "./demo-score.mjs";
import { openPage, startDesk } from "./desk.mjs";
import { demo, shots } from "./files.mjs";
import { begin, Hand, keep } from "./hand.mjs";

const picture = fileURLToPath(new URL("../../docs/pictures/sheet.png", import.meta.url));
const names = ["ode-to-joy", "new-britain", "greensleeves"];

/// What a reader of the score hears: pitch, place, length, pass, and what is slurred together.
async function played(home, piece) {
  const { notes } = await (await fetch(`${home}/api/pieces/${piece}/timeline`)).json();
  return notes.map((n, i) => ({
    midi: n.midi, onset: n.onset_quarters, duration: n.duration_quarters, pass: n.pass,
    slurred: i > 0 && n.slur_id !== null && n.slur_id === notes[i - 1].slur_id,
  }));
}
async function printed(home, piece) {
  const { notes } = await (await fetch(`${home}/api/pieces/${piece}/markings`)).json();
  const own = (mark) => (mark?.origin === "printed" ? mark.value : null);
  return notes.map((n) => [own(n.finger), own(n.bow)]);
}
async function given(home, name) {
  const body = readFileSync(demo(`pieces/${name}.musicxml`));
  const headers = { "X-Endpin": "1", "Content-Type": "application/octet-stream" };
  const answer = await fetch(`${home}/api/pieces?name=${name}.musicxml`, { method: "POST", body, headers });
  return (await answer.json()).id;
}
async function compare(home, original, piece) {
  assert.deepEqual(await played(home, piece), await played(home, original));
  assert.deepEqual(await printed(home, piece), await printed(home, original));
}

export default [
  {
    name: "three tunes typed as text are the demo's own, note by note",
    async run() {
      const home = await startDesk({});
      const { page, complaints } = await openPage({ home });
      for (const name of names) {
        const score = demoScore(name);
        const original = await given(home, name);
        await begin(page, home, score);
        const text = page.getByLabel("As text (ABC)");
        await text.focus();
        await page.keyboard.press("Control+End");
        await page.keyboard.type(typed(score));
        assert.equal(await page.getByRole("list", { name: "What does not fit yet" }).getByRole("listitem").count(), 0, name);
        await page.screenshot({ path: `${shots}/entry-typed-${name}.png`, fullPage: true });
        await compare(home, original, await keep(page));
      }
      assert.deepEqual(complaints, []);
    },
  },
  {
    name: "the same three tunes touched on the staff are the demo's own, note by note",
    async run() {
      const home = await startDesk({});
      const { page, complaints } = await openPage({ home, width: 1180, height: 820 });
      for (const name of names) {
        const score = demoScore(name);
        const original = await given(home, name);
        await begin(page, home, score);
        await page.getByText("Bar lines and repeats").click();
        const hand = new Hand(page, score);
        for (const [i, bar] of score.bars.entries()) await hand.bar(bar, i + 1 === score.bars.length);
        await page.screenshot({ path: `${shots}/entry-touched-${name}.png`, fullPage: true });
        await compare(home, original, await keep(page));
      }
      assert.deepEqual(complaints, []);
    },
  },
  {
    name: "what is written survives a crash, a mistake is said at its place, a picture lies beside it",
    async run() {
      const home = await startDesk({});
      const { page } = await openPage({ home, bypassCSP: true });
      await begin(page, home, demoScore("ode-to-joy"));
      await page.getByLabel("As text (ABC)").focus();
      await page.keyboard.press("Control+End");
      await page.keyboard.type("D,8 | A,4 ? | D,2");
      await page.getByRole("button", { name: /“\?” means nothing here/ }).waitFor();
      await page.getByRole("button", { name: /Measure 2 is too short by 2/ }).click();
      await page.locator('input[data-role="page"]').setInputFiles(picture);
      await page.locator("figure.page img").waitFor();
      assert.deepEqual(await seriousFindings(page), []);
      await page.screenshot({ path: `${shots}/entry-picture.png`, fullPage: true });
      await page.waitForTimeout(1000);
      // The page is gone without a goodbye.
      const address = page.url();
      await page.evaluate(() => (globalThis.onpagehide = null));
      await page.goto("about:blank");
      await page.goto(address);
      await page.getByLabel("As text (ABC)").waitFor();
      assert.match(await page.getByLabel("As text (ABC)").inputValue(), /D,8 \| A,4 \? \| D,2$/);
      await page.getByLabel("As text (ABC)").focus();
      await page.keyboard.press("Control+End");
      await page.keyboard.type(" E,2");
      await page.keyboard.press("Control+z");
      assert.match(await page.getByLabel("As text (ABC)").inputValue(), /D,2 E,$/);
    },
  },
  {
    name: "a note that the step does not have is shown at its place while the tune is written",
    async run() {
      const home = await startDesk({});
      const { page, complaints } = await openPage({ home });
      await begin(page, home, { name: "Too high", instrument: "violin", fifths: 2, metre: "4/4" });
      await page.getByLabel("As text (ABC)").focus();
      await page.keyboard.press("Control+End");
      // Common practice: first position on the violin ends at B5, and F sharp 3 is below its G string.
      await page.keyboard.type("A2 d2 e'4 | F,4 A4 |");
      const troubles = page.getByRole("list", { name: "What does not fit yet" });
      await troubles.getByText("Measure 1: E6 does not lie in the step (First position).").waitFor();
      await troubles.getByText("Measure 2: F♯3 is not on the instrument.").waitFor();
      assert.equal(await page.locator("section.staff path.out").count(), 2);
      await page.screenshot({ path: `${shots}/entry-step.png`, fullPage: true });
      assert.deepEqual(await seriousFindings(page), []);
      await troubles.getByText(/E6/).click();
      assert.match(await page.locator(".chosen[role=status]").textContent(), /^E6/);
      await page.keyboard.press("Tab");
      await page.getByLabel("Step").selectOption("upper-positions");
      await troubles.getByText(/E6/).waitFor({ state: "detached" });
      assert.equal(await page.locator("section.staff path.out").count(), 1);
      await page.getByLabel("Instrument").selectOption("bass");
      await page.getByText("The double bass sounds an octave lower than it is written").waitFor();
      await page.setViewportSize({ width: 390, height: 844 });
      await page.emulateMedia({ colorScheme: "dark" });
      await page.screenshot({ path: `${shots}/entry-step-phone.png`, fullPage: true });
      assert.deepEqual(complaints, []);
    },
  },
  {
    name: "half a bar pasted is said at its place, and a full disk loses nothing of what is written",
    async run() {
      const home = await startDesk({});
      const { page } = await openPage({ home });
      await begin(page, home, demoScore("ode-to-joy"));
      const text = page.getByLabel("As text (ABC)");
      await text.focus();
      await page.keyboard.press("Control+End");
      await page.keyboard.type("D,8 | ");
      await page.keyboard.insertText("A,2 B,2 | D,8 |]");
      await page.getByRole("button", { name: /Measure 2 is too short by 2/ }).waitFor();
      assert.deepEqual(await page.locator("section.staff .sum").allTextContents(), ["2/4"]);
      await page.screenshot({ path: `${shots}/entry-half-a-bar.png`, fullPage: true });
      await page.waitForTimeout(600);
      const full = { file: "", place: "", what: "the disk is full", remedy: "Make room.", line: "the disk is full. Make room." };
      await page.route("**/api/drafts/*", (route) =>
        route.request().method() === "PATCH" ? route.fulfill({ status: 507, json: { error: full } }) : route.continue(),
      );
      await text.focus();
      await page.keyboard.press("Control+End");
      await page.keyboard.type("\n% kept");
      await page.getByText("the disk is full. Make room.").waitFor();
      assert.match(await text.inputValue(), /% kept$/);
      await page.unroute("**/api/drafts/*");
      const id = /write\/(\d+)/.exec(page.url())[1];
      for (let i = 0; i < 60; ++i) {
        if ((await (await fetch(`${home}/api/drafts/${id}`)).json()).text.endsWith("% kept")) return;
        await page.waitForTimeout(200);
      }
      assert.fail("what was written did not reach the book once there was room");
    },
  },
];
