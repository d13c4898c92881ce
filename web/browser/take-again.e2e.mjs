// A take that is heard anew at the desk: given another lesson, or after its score was changed.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { posted, read, sent } from "./ask.mjs";
import { seriousFindings } from "./axe.mjs";
import { openPage, startDesk } from "./desk.mjs";
import { demo, playedTake } from "./files.mjs";

const post = (address, body) => posted(address, JSON.stringify(body));
async function heard(home, id) {
  for (let i = 0; i < 480; ++i) {
    const take = await read(`${home}/api/takes/${id}`);
    if (take.state === "heard") return take;
    assert.notEqual(take.state, "failed", JSON.stringify(take.error));
    await new Promise((done) => setTimeout(done, 100));
  }
  throw new Error("not heard");
}

/// A desk with two pieces, a lesson on each, and a playing of the first that came with the lesson named.
async function given({ with: which }) {
  const home = await startDesk();
  const add = (name) =>
    sent("POST", `${home}/api/pieces?name=${name}.musicxml`, readFileSync(demo(`pieces/${name}.musicxml`)), "application/octet-stream");
  const pieces = { ode: await add("ode-to-joy"), green: await add("greensleeves") };
  const student = await post(`${home}/api/students`, { name: "Ilva", instrument: "cello", size: "3/4", step: "first-position" });
  const lessonOn = (piece) => post(`${home}/api/lessons`, { piece: piece.id, items: ["piece"], students: [student.id], date: "2026-03-01" });
  const lessons = { ode: await lessonOn(pieces.ode), green: await lessonOn(pieces.green) };
  const words = `name=week.wav&student=${student.id}&lesson=${lessons[which].id}`;
  const take = await sent("POST", `${home}/api/takes?${words}`, readFileSync(playedTake()), "application/octet-stream");
  await heard(home, take.id);
  await sent("PATCH", `${home}/api/takes/${take.id}`, JSON.stringify({ seen: true }));
  return { home, pieces, lessons, take };
}

export default [
  {
    name: "a take that was sent to the wrong lesson is given the right one, heard against it, and put back",
    async run() {
      const { home, lessons, take } = await given({ with: "green" });
      const { page, complaints } = await openPage({ home });
      await page.goto(`${home}/#/takes/${take.id}`);
      await page.getByText("This does not sound like this piece").first().waitFor({ timeout: 30000 });
      const choice = page.getByRole("combobox", { name: "Lesson", exact: true });
      await choice.selectOption({ label: "Ode to Joy, Mar 1" });
      await page.getByText("Given another lesson: Ode to Joy, Mar 1. It is heard anew against that.").waitFor();
      await page.locator(".lanes .held").first().waitFor({ timeout: 60000 });
      const moved = await heard(home, take.id);
      assert.deepEqual([moved.lesson, moved.piece.title, moved.status], [lessons.ode.id, "Ode to Joy", "ok"]);
      assert.deepEqual(await seriousFindings(page), []);
      await page.getByRole("button", { name: "Undo", exact: true }).click();
      await page.getByText("Given another lesson").waitFor({ state: "detached" });
      await page.getByText("This does not sound like this piece").first().waitFor({ timeout: 60000 });
      const back = await heard(home, take.id);
      assert.deepEqual([back.lesson, back.piece.title, back.status], [lessons.green.id, "Greensleeves", "wrong-piece"]);
      assert.equal(await choice.inputValue(), String(lessons.green.id));
      assert.deepEqual(complaints, []);
    },
  },
  {
    name: "a lesson that is gone meanwhile is said in one line, and the take stays where it is",
    async run() {
      const { home, lessons, take } = await given({ with: "ode" });
      const { page } = await openPage({ home });
      await page.goto(`${home}/#/takes/${take.id}`);
      const choice = page.getByRole("combobox", { name: "Lesson", exact: true });
      await choice.getByRole("option", { name: /Greensleeves/ }).waitFor({ state: "attached" });
      await fetch(`${home}/api/lessons/${lessons.green.id}`, { method: "DELETE", headers: { "X-Endpin": "1" } });
      await choice.selectOption(String(lessons.green.id));
      await page.getByRole("alert").filter({ hasText: "there is no such lesson" }).waitFor();
      assert.equal(await choice.inputValue(), String(lessons.ode.id));
      assert.equal((await read(`${home}/api/takes/${take.id}`)).lesson, lessons.ode.id);
    },
  },
  {
    name: "once the score was changed its takes say so, and one button has all of the lesson heard again",
    async run() {
      const { home, pieces, lessons, take } = await given({ with: "ode" });
      const another = await sent(
        "POST", `${home}/api/takes?name=again.wav&lesson=${lessons.ode.id}`,
        Buffer.concat([readFileSync(playedTake()), Buffer.alloc(2)]), "application/octet-stream",
      );
      await heard(home, another.id);
      const { page, complaints } = await openPage({ home });
      await page.goto(`${home}/#/takes/${take.id}`);
      await page.locator(".lanes .held").first().waitFor({ timeout: 60000 });
      assert.equal(await page.getByText("The score was changed").count(), 0);
      const [bar] = (await read(`${home}/api/pieces/${pieces.ode.id}/mends`)).bars;
      await sent("PUT", `${home}/api/pieces/${pieces.ode.id}/mends/${bar.notes[1].id}`, JSON.stringify({ pitch: "G3" }));
      await page.reload();
      await page.getByText("The score was changed after this take was heard.").waitFor();
      assert.deepEqual(await seriousFindings(page), []);
      await page.goto(`${home}/#/takes`);
      await page.getByText("heard against the earlier score").nth(1).waitFor();
      await page.goto(`${home}/#/takes/${take.id}`);
      await page.getByRole("button", { name: "Hear all 2 takes of this lesson again" }).click();
      await page.getByText("The score was changed").waitFor({ state: "detached" });
      for (const id of [take.id, another.id]) assert.equal((await heard(home, id)).earlier_score, false);
      await page.locator(".lanes .held").first().waitFor({ timeout: 60000 });
      assert.deepEqual(complaints, []);
    },
  },
  {
    name: "on the piece's page all takes that were heard before it was mended are heard again",
    async run() {
      const { home, pieces, take } = await given({ with: "ode" });
      const { page, complaints } = await openPage({ home });
      await page.goto(`${home}/#/pieces/${pieces.ode.id}`);
      await page.locator("[data-note]").first().waitFor({ timeout: 60000 });
      await page.getByRole("button", { name: "Mend the notes" }).click();
      await page.locator("[data-note='2']").click();
      await page.getByRole("region", { name: "Mend the notes" }).getByRole("button", { name: "Sharp" }).click();
      await page.getByRole("button", { name: "Hear the one take again that was heard against the earlier score" }).click();
      await page.getByText("heard against the earlier score").first().waitFor({ state: "detached" });
      assert.equal((await heard(home, take.id)).earlier_score, false);
      assert.deepEqual(complaints, []);
    },
  },
];
