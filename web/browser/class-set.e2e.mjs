// One tune for a mixed class, from the piece: who plays, the key, heard, made, saved.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { seriousFindings } from "./axe.mjs";
import { openPage, startDesk } from "./desk.mjs";
import { demo, shots } from "./files.mjs";

async function givePiece(home, name) {
  const body = readFileSync(demo(`pieces/${name}.musicxml`));
  const headers = { "X-Endpin": "1", "Content-Type": "application/octet-stream" };
  const answer = await fetch(`${home}/api/pieces?name=${name}.musicxml`, { method: "POST", body, headers });
  return (await answer.json()).id;
}

async function choose(page) {
  await page.getByRole("link", { name: "For a class" }).click();
  await page.getByRole("heading", { level: 1, name: "Ode to Joy for a class" }).waitFor();
  const parts = page.locator(".set li");
  await parts.nth(3).waitFor();
  // Common practice: treble, alto, bass and bass clef.
  for (const [i, clef] of ["treble clef", "alto clef", "bass clef", "bass clef"].entries()) {
    assert.match(await parts.nth(i).locator("p").first().textContent(), new RegExp(clef));
  }
  await page.getByLabel("Viola", { exact: true }).uncheck();
  await parts.nth(3).waitFor({ state: "detached" });
  await parts.nth(1).getByLabel("Step").selectOption("open-strings");
  await parts.nth(1).getByText(/Out of the step/).waitFor();
  await page.getByText(/Cello.* (not in|out of|cannot|beyond|reach)/i).first().waitFor();
  await parts.nth(1).getByLabel("Step").selectOption("first-position");
  await parts.nth(1).getByText("Every note lies in the step.").waitFor();
  await parts.nth(1).getByRole("button", { name: "Let it lead: Cello" }).click();
  await parts.first().getByRole("heading", { name: "Cello" }).waitFor();
}

async function chooseKey(page) {
  const keys = page.getByRole("radio");
  await page.getByRole("button", { name: "All keys" }).click();
  assert.equal(await keys.count(), 15);
  await page.getByRole("radio", { name: /^G major/ }).check();
  await page.waitForFunction(() => /G major/.test(document.querySelector("label.chosen")?.textContent ?? ""));
  await page.getByRole("button", { name: "Only the easiest keys" }).click();
}

async function hear(page) {
  await page.getByLabel("Who is silent").selectOption("violin");
  const sound = page.waitForResponse((r) => r.url().includes("/set.wav") && r.url().includes("without=violin"));
  await page.getByRole("button", { name: "Hear the class" }).click();
  assert.ok((await sound).ok());
  await page.getByRole("button", { name: "Stop the sound" }).click();
  // Called off before there is a sound: no fault.
  await page.getByLabel("Who is silent").selectOption("bass");
  await page.getByRole("button", { name: "Hear the class" }).click();
  await page.getByRole("button", { name: "Stop the sound" }).click();
  await page.getByRole("button", { name: "Hear the class" }).waitFor();
  assert.equal(await page.getByRole("alert").count(), 0);
}

async function make(page, home, piece) {
  await page.getByLabel(/Warm-up together/).uncheck();
  await page.getByRole("button", { name: "Make the set" }).click();
  await page.getByRole("link", { name: "One PDF for all" }).waitFor({ timeout: 180000 });
  const { sets } = await (await fetch(`${home}/api/sets?piece=${piece}`)).json();
  const [set] = sets;
  assert.deepEqual(set.wanted.instruments, ["cello", "violin", "bass"]);
  assert.equal(set.wanted.fifths, 1);
  for (const name of ["sheets.pdf", "score.musicxml", "cello-tune.musicxml", "violin-second.musicxml", "all.opus", "without-violin.opus"]) {
    assert.ok(set.files.includes(name), name);
  }
  assert.ok(!set.files.some((f) => f.includes("warm-up")));
  const pdf = await (await fetch(`${home}/api/sets/${set.id}/files/sheets.pdf`)).text();
  assert.ok(pdf.startsWith("%PDF-"));
}

export default [
  {
    name: "a class set is chosen, heard and made from the piece, and kept with it",
    async run() {
      const home = await startDesk({});
      const piece = await givePiece(home, "ode-to-joy");
      const { page, complaints } = await openPage({ home });
      await page.goto(`${home}/#/pieces/${piece}`);
      await choose(page);
      await chooseKey(page);
      assert.deepEqual(await seriousFindings(page), []);
      await page.screenshot({ path: `${shots}/class-set.png`, fullPage: true });
      await hear(page);
      await make(page, home, piece);
      await page.screenshot({ path: `${shots}/class-set-made.png`, fullPage: true });
      await page.setViewportSize({ width: 390, height: 844 });
      await page.emulateMedia({ colorScheme: "dark" });
      assert.deepEqual(await seriousFindings(page), []);
      await page.screenshot({ path: `${shots}/class-set-phone.png`, fullPage: true });
      assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), "nothing runs off a phone");
      assert.deepEqual(complaints, []);
    },
  },
  {
    name: "making a class set can be stopped",
    async run() {
      const home = await startDesk({});
      const piece = await givePiece(home, "ode-to-joy");
      const { page, complaints } = await openPage({ home });
      await page.goto(`${home}/#/pieces/${piece}/set`);
      await page.getByRole("button", { name: "Make the set" }).click();
      await page.getByRole("button", { name: "Stop making it" }).click();
      await page.getByText("Stopped before it was done.").waitFor();
      await page.waitForTimeout(8000);
      await page.getByText("Stopped before it was done.").waitFor();
      await page.getByRole("button", { name: "Throw away" }).click();
      await page.getByText("Stopped before it was done.").waitFor({ state: "detached" });
      assert.deepEqual(complaints, []);
    },
  },
];
