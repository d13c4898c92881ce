// The page hears what the program hears: the same core, the same findings.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { openPage } from "./desk.mjs";
import { demo, endpin, playedTake, takeHome, takeOf } from "./files.mjs";
import { sentBack } from "./sent-back.mjs";

async function pageWith(recording) {
  const home = takeHome();
  const { page, complaints } = await openPage({ width: 390, height: 844, home });
  await page.context().setOffline(true);
  await page.goto(home);
  await page.getByRole("button", { name: /The piece/ }).click();
  await page.locator('input[data-role="recording"]').setInputFiles(recording);
  await page.evaluate(() => {
    window.shares = [];
    const look = () => {
      const bar = document.querySelector("progress");
      if (bar && window.shares.at(-1) !== bar.value) window.shares.push(bar.value);
    };
    new MutationObserver(look).observe(document.body, { subtree: true, childList: true, attributes: true });
  });
  await page.getByRole("button", { name: "What do you hear?" }).click();
  await page.locator("[data-said]").waitFor({ timeout: 60000 });
  return { page, complaints };
}

async function heardByPage(recording) {
  const { page, complaints } = await pageWith(recording);
  const { hearing } = (await sentBack(page)).take;
  assert.deepEqual(complaints, []);
  return hearing;
}

function heardByProgram(recording) {
  const words = ["hear", demo("pieces/ode-to-joy.musicxml"), recording, "--json"];
  return JSON.parse(execFileSync(endpin, words, { encoding: "utf8", maxBuffer: 1 << 28 }));
}

const inShort = (hearing) => hearing.findings.map((f) => `${f.kind} ${f.bars.join(",")}`);

function assertAgreement(page, program) {
  assert.equal(page.status, program.status);
  assert.deepEqual(inShort(page), inShort(program));
  assert.equal(page.notes.length, program.notes.length);
  page.notes.forEach((note, i) => {
    const other = program.notes[i];
    assert.equal(note.state, other.state, `note ${i}`);
    if (!note.heard || !other.heard) return;
    const apart = Math.abs(note.heard.onset_s - other.heard.onset_s);
    assert.ok(apart <= 0.001, `note ${i}: onsets ${apart} s apart`);
  });
}

export default [
  {
    name: "what is done of a hearing is shown as the core tells it",
    async run() {
      const { page, complaints } = await pageWith(takeOf("ilva-ode-to-joy.opus"));
      const shares = await page.evaluate(() => window.shares);
      assert.ok(shares.length >= 4, `seen: ${shares}`);
      assert.ok(shares.every((share, i) => share >= (shares[i - 1] ?? 0) && share <= 1), `seen: ${shares}`);
      assert.deepEqual(complaints, []);
      await page.close();
    },
  },
  {
    name: "page and program hear the same in a clean take: the same findings, onsets within a millisecond",
    async run() {
      const take = playedTake();
      const hearing = await heardByPage(take);
      assert.equal(hearing.status, "ok");
      assertAgreement(hearing, heardByProgram(take));
    },
  },
  {
    name: "page and program hear the same in a child's take with faults",
    async run() {
      const take = takeOf("ilva-ode-to-joy.opus");
      const hearing = await heardByPage(take);
      assert.ok(hearing.findings.some((f) => f.tone === "work"), "a fault is heard");
      assertAgreement(hearing, heardByProgram(take));
    },
  },
  {
    name: "of a child's take one good thing is said and at most two to work on, each to be heard and practised",
    async run() {
      const { page, complaints } = await pageWith(takeOf("ilva-ode-to-joy.opus"));
      assert.equal(await page.locator(".good").count(), 1);
      const work = page.locator(".work");
      const said = await work.allTextContents();
      assert.ok(said.length >= 1 && said.length <= 2, said.join(" | "));
      for (const sentence of said) assert.match(sentence, /hold the long note|you stopped and began again/);
      await work.first().getByRole("button", { name: "Listen", exact: true }).click();
      await work.first().getByRole("button", { name: "Hear the model" }).click();
      await page.locator(".over .bow").waitFor();
      await work.first().getByRole("button", { name: "Practice this" }).click();
      await page.getByText(/Looping measure/).waitFor();
      await page.getByRole("button", { name: "Draw it under the notes" }).click();
      await page.locator(".lanes .held").first().waitFor();
      assert.equal(await page.locator(".lanes .pitch").count(), 0, "pitch waits for the teacher");
      await work.first().getByRole("button", { name: "Rhythm of measure 4" }).click();
      await page.getByRole("heading", { level: 2, name: "Rhythm of measure 4" }).waitFor();
      const chosen = await page.getByRole("navigation").locator('[aria-pressed="true"]').boundingBox();
      assert.ok(chosen.x >= 0 && chosen.x + chosen.width <= 390 && chosen.y > -1, `its button is in view: ${JSON.stringify(chosen)}`);
      assert.deepEqual(complaints, []);
    },
  },
];
