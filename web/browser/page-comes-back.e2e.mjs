// The whole way: the desk gives a student a page, the page records without a network, and the desk
// knows what comes back.
import assert from "node:assert/strict";
import { readFileSync, writeFileSync } from "node:fs";
import { pathToFileURL } from "node:url";
import { posted } from "./ask.mjs";
import { openPage, startDesk, temporaryFolder } from "./desk.mjs";
import { playedTake, score } from "./files.mjs";
import { sentBack } from "./sent-back.mjs";

async function ready(home, id) {
  for (let i = 0; i < 240; ++i) {
    const lesson = await (await fetch(`${home}/api/lessons/${id}`)).json();
    if (lesson.state === "ready") return;
    assert.notEqual(lesson.state, "failed");
    await new Promise((done) => setTimeout(done, 250));
  }
  throw new Error("the lesson was not made in a minute");
}

/// A page of the desk for one student, as a file of a phone.
async function pageFor(home) {
  const piece = await posted(`${home}/api/pieces?name=ode-to-joy.musicxml`, readFileSync(score), "application/octet-stream");
  const student = await posted(`${home}/api/students`,
    JSON.stringify({ name: "Ilva", instrument: "cello", size: "3/4", step: "first-position" }));
  const lesson = await posted(`${home}/api/lessons`, JSON.stringify({
    piece: piece.id, items: ["piece"], note: "", tempo_bpm: null, paper: "a4", due: null, students: [student.id], groups: [] }));
  await ready(home, lesson.id);
  const page = await (await fetch(`${home}/api/lessons/${lesson.id}/take-home/${student.id}`)).text();
  const file = `${temporaryFolder()}/take-home.html`;
  writeFileSync(file, page);
  return { address: pathToFileURL(file).href, lesson, student };
}

export default [
  {
    name: "a take that a student's page sends back is known by the desk: whose it is and of which lesson",
    async run() {
      const home = await startDesk();
      const { address, lesson, student } = await pageFor(home);
      const { page, complaints } = await openPage({ width: 390, height: 844, home: address, microphone: playedTake() });
      await page.context().setOffline(true);
      await page.goto(address);
      await page.getByRole("button", { name: "Record", exact: true }).click();
      await page.getByRole("button", { name: "Count in and record" }).click();
      await page.getByText(/Recording: \d+ s/).waitFor({ timeout: 20000 });
      await page.getByRole("button", { name: "Stop recording" }).click();
      const { file } = await sentBack(page);
      const take = await posted(`${home}/api/takes?name=take.zip`, readFileSync(file), "application/octet-stream");
      assert.equal(take.student.id, student.id);
      assert.equal(take.lesson, lesson.id);
      assert.equal(take.piece.title, "Ode to Joy");
      assert.deepEqual(complaints, []);
    },
  },
];
