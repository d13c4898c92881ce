// Nothing that can be pressed moves once the page of a take is shown, however late the desk answers.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { posted, sent, until } from "./ask.mjs";
import { openPage, startDesk } from "./desk.mjs";
import { demo, score } from "./files.mjs";
import { answerLate, watchControls } from "./steady.mjs";

let filled;
/// One for all tests of this file: a student with two takes of a piece, a lesson, lines and words of the
/// teacher's own. Each test has its own take.
function filledDesk() {
  return (filled ??= fill());
}

async function fill() {
  const home = await startDesk({ forFile: true });
  const bytes = "application/octet-stream";
  const piece = await posted(`${home}/api/pieces?name=ode-to-joy.musicxml`, readFileSync(score), bytes);
  const student = await posted(`${home}/api/students`, JSON.stringify({ name: "Ilva", instrument: "cello", size: "3/4", step: "first-position" }));
  await posted(`${home}/api/lessons`, JSON.stringify({ piece: piece.id, items: ["piece"], students: [student.id], date: "2026-03-01" }));
  const sound = readFileSync(demo("takes/ilva-ode-to-joy.opus"));
  for (const again of [0, 1, 2]) {
    const words = `name=week-${again}.opus&piece=${piece.id}&student=${student.id}`;
    const take = await posted(`${home}/api/takes?${words}`, Buffer.concat([sound, Buffer.alloc(again)]), bytes);
    await sent("PUT", `${home}/api/takes/${take.id}/rubric`, JSON.stringify({ rows: [{ name: "tone", mark: "4", words: "warm" }] }));
  }
  await until(`${home}/api/takes`, ({ takes }) => takes.every((take) => take.state === "heard"));
  await until(`${home}/api/pieces/${piece.id}/engraving`, (drawing) => drawing.state === "ready");
  return home;
}

async function shown(home, take, size) {
  const { page, complaints } = await openPage({ home, ...size });
  await page.addInitScript(watchControls);
  const settled = await answerLate(page);
  await page.goto(`${home}/#/takes/${take}`);
  await page.locator(".lanes .held").first().waitFor({ timeout: 60000 });
  await page.getByRole("link", { name: "Put it together" }).waitFor();
  await settled();
  return { page, complaints, settled };
}

/// What moves within this time of a press is the press's own doing (as layout shifts are counted): answers come later.
const ownDoing = 500;
async function forget(page) {
  await page.waitForTimeout(ownDoing);
  await page.evaluate(() => (globalThis.moved = []));
}
const moved = (page) => page.evaluate(() => globalThis.moved);

export default [
  ...[[1280, 900], [390, 844]].map(([width, height], at) => ({
    name: `with late answers no control of a take's page moves once it is shown: ${width}`,
    async run() {
      const home = await filledDesk();
      const { page, complaints } = await shown(home, at + 1, { width, height });
      assert.deepEqual(await moved(page), []);
      assert.deepEqual(complaints, []);
    },
  })),
  {
    name: "with late answers nothing moves on a take's page after a finding was heard, rejected and worded anew",
    async run() {
      const home = await filledDesk();
      const { page, complaints, settled } = await shown(home, 3, {});
      const findings = page.getByRole("region", { name: "What was heard" }).getByRole("listitem");
      await findings.first().getByRole("button", { name: "Hear it" }).click();
      await forget(page);
      await page.getByText(/then and now/).waitFor();
      await settled();
      assert.deepEqual(await moved(page), [], "heard");
      await findings.first().getByRole("button", { name: "Leave out" }).click();
      await forget(page);
      await settled();
      assert.deepEqual(await moved(page), [], "rejected");
      assert.deepEqual(complaints, []);
    },
  },
];
