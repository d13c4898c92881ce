// A teacher's week on the demo book, part by part: book, piece, lesson, new takes, take, one bar of
// everybody, history. One desk for all, since its takes need to be heard once.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { openPage, startDesk, temporaryFolder } from "./desk.mjs";
import { demo, endpin, score, shots } from "./files.mjs";

async function allHeard(home, many) {
  for (let i = 0; i < 480; ++i) {
    const { takes } = await (await fetch(`${home}/api/takes`)).json();
    if (takes.length >= many && takes.every((t) => ["heard", "failed", "unassigned"].includes(t.state))) return takes;
    await new Promise((done) => setTimeout(done, 250));
  }
  throw new Error("the takes were not heard in two minutes");
}

async function book(page, home) {
  await page.goto(`${home}/#/`);
  await page.getByRole("heading", { level: 1, name: "Pieces" }).waitFor();
  assert.equal(await page.locator("section.pieces li a").count(), 3);
  await page.goto(`${home}/#/students`);
  await page.getByRole("button", { name: "Add a student" }).click();
  await page.getByLabel("Name or nickname").fill("Runa");
  await page.getByRole("button", { name: "Save" }).click();
  await page.getByRole("link", { name: /Runa/ }).waitFor();
  await page.getByText("Monday").click();
  await page.getByRole("group").filter({ hasText: "Monday" }).getByLabel("Runa").check();
  await page.getByText("4 students").waitFor();
}

async function piece(page, home) {
  await page.goto(`${home}/#/`);
  await page.getByRole("link", { name: /Ode to Joy/ }).first().click();
  await page.locator(".engraved .notehead").first().waitFor({ timeout: 60000 });
  await page.locator("[data-note='1']").click();
  await page.getByRole("button", { name: "Yours" }).waitFor();
  await page.getByRole("group", { name: "String" }).getByRole("button", { name: "G", exact: true }).click();
  await page.waitForFunction(() => /G string/.test(document.querySelector("[data-note='1']").ariaLabel));
  await page.keyboard.press("Control+z");
  await page.waitForFunction(() => !/G string/.test(document.querySelector("[data-note='1']").ariaLabel));
  await page.getByRole("button", { name: /9 · 10/ }).first().click();
  assert.equal(await page.locator(".twins figure").count(), 2);
  await page.getByRole("button", { name: "Play from here" }).click();
  await page.locator(".over .bow").first().waitFor({ timeout: 30000 });
  await page.getByRole("button", { name: "Stop", exact: true }).click();
}

async function lesson(page, home) {
  await page.getByRole("link", { name: "Make a lesson" }).click();
  await page.getByRole("heading", { name: /A lesson on Ode to Joy/ }).waitFor();
  await page.getByText(/More to choose from/).click();
  await page.getByRole("checkbox", { name: /Arpeggio of D major/ }).check();
  const chosen = page.locator("ol").first().locator("li");
  const first = await chosen.first().locator("strong").textContent();
  await chosen.first().getByRole("button", { name: /down$/ }).click();
  assert.notEqual(await chosen.first().locator("strong").textContent(), first);
  await page.getByLabel("Your note").fill("Sing it first.");
  await page.getByLabel("Monday").check();
  await page.getByRole("button", { name: "Make the lesson" }).click();
  await page.getByRole("link", { name: "Page for Ilva" }).waitFor({ timeout: 120000 });
  const sheet = page.frameLocator('iframe[title="The sheet"]');
  await sheet.getByText("Sing it first.").first().waitFor();
  const address = await page.getByRole("link", { name: "Page for Ilva" }).getAttribute("href");
  const own = await (await fetch(home + address)).text();
  const marks = /"lesson_id":"([0-9a-f]{16})","student_token":"([0-9a-f]{32})"/.exec(own);
  assert.ok(marks, "the page knows its lesson and its student");
  assert.ok(!own.includes("Ilva"), "the page does not name the student");
  return { lesson_id: marks[1], student_token: marks[2] };
}

/// What the take-home page sends back, with the sound of the program itself.
function sentBack(marks) {
  const folder = temporaryFolder();
  execFileSync(endpin, ["play", score, "-o", `${folder}/take.wav`, "--tempo", "88", "--bars", "1-8"]);
  const about = { schema: "endpin.take/1", ...marks, item: "piece", tempo: 88, beat_unit: "1/4", recorded_at: "2026-03-01T09:30:00Z" };
  const pack = "import json,sys,zipfile; z=zipfile.ZipFile(sys.argv[1],'w'); z.writestr('take.json',sys.argv[2]); z.write(sys.argv[3],'take.wav')";
  execFileSync("python3", ["-c", pack, `${folder}/back.zip`, JSON.stringify(about), `${folder}/take.wav`]);
  return `${folder}/back.zip`;
}

async function newTakes(page, home, marks) {
  await page.goto(`${home}/#/takes`);
  const drop = page.locator('input[data-role="recordings"]');
  await drop.setInputFiles(sentBack(marks));
  await page.getByRole("link", { name: /Ilva/ }).nth(1).waitFor({ timeout: 30000 });
  await page.getByLabel("Sent by (optional)").fill("mum");
  await drop.setInputFiles([demo("takes/ilva-ode-to-joy.opus")]);
  await page.getByText("1 was in the book already.").waitFor();
  const takes = await allHeard(home, 5);
  const back = takes.find((t) => t.lesson !== null);
  assert.equal(back.student.name, "Ilva");
  assert.equal(back.piece.title, "Ode to Joy");
  return takes;
}

async function take(page, home, takes) {
  const ilva = takes.find((t) => t.name.startsWith("ilva"));
  await page.goto(`${home}/#/takes/${ilva.id}`);
  await page.locator(".lanes .held").first().waitFor({ timeout: 60000 });
  const finding = page.getByRole("listitem").filter({ hasText: /Measure 5/ }).first();
  await finding.getByRole("button", { name: "Both in turn" }).or(page.getByRole("button", { name: "Both in turn" })).first().click();
  await page.getByRole("button", { name: "Half speed" }).click();
  await finding.getByRole("button", { name: "Hear it" }).click();
  await page.getByText("Measure 5, then and now").waitFor();
  await finding.getByRole("button", { name: "Reword" }).click();
  await page.getByRole("textbox", { name: "Reword" }).fill("F sharp, as in the scale.");
  await page.getByLabel("Keep this sentence for next time").check();
  await page.getByRole("button", { name: "Save" }).click();
  await page.getByText("Your words").waitFor();
  await page.waitForFunction(() => /F sharp, as in the scale/.test(document.querySelector("[aria-labelledby=message-title]").value));
  await page.getByRole("button", { name: "Add a line" }).click();
  await page.getByLabel("What", { exact: true }).fill("tone");
  await page.getByLabel("What", { exact: true }).blur();
  await page.getByRole("link", { name: "Put it together" }).click();
  await page.getByText(/what is ticked comes from what was heard/).waitFor();
  await page.locator("ol").first().locator("li").nth(1).waitFor();
}

async function everybody(page, home) {
  await page.goto(`${home}/#/pieces/3/bars/2`);
  const pieces = (await (await fetch(`${home}/api/pieces`)).json()).pieces;
  const ode = pieces.find((p) => p.title === "Ode to Joy").id;
  await page.goto(`${home}/#/pieces/${ode}/bars/4`);
  await page.getByRole("heading", { level: 1, name: "Measure 4, everybody" }).waitFor();
  await page.getByRole("button", { name: "Hear Ilva" }).click();
  await page.locator(".one.now").waitFor();
  await page.getByRole("button", { name: "Stop" }).click();
  await page.getByRole("link", { name: "Make a warm-up of it" }).click();
  await page.locator("ol").first().getByText(/measure 4/i).first().waitFor();
}

async function history(page, home) {
  await page.goto(`${home}/#/students`);
  await page.getByRole("link", { name: /Ilva/ }).click();
  const pictures = page.getByRole("region", { name: "Week by week" }).locator("figure");
  await pictures.first().waitFor();
  assert.equal(await pictures.count(), 4);
  assert.equal(await pictures.first().locator("a").count(), 2);
  assert.doesNotMatch(await page.locator("main").textContent(), /rank|score|best/i);
}

export default [
  {
    name: "a week on the demo book: book, piece, lesson, new takes, take, one bar of everybody, history",
    async run() {
      const home = await startDesk({ demo: demo("") });
      const { page, complaints } = await openPage({ home });
      await allHeard(home, 4);
      const known = {};
      const parts = {
        book: () => book(page, home),
        piece: () => piece(page, home),
        lesson: async () => (known.marks = await lesson(page, home)),
        "new-takes": async () => (known.takes = await newTakes(page, home, known.marks)),
        take: () => take(page, home, known.takes),
        everybody: () => everybody(page, home),
        history: () => history(page, home),
      };
      for (const [name, walk] of Object.entries(parts)) {
        try {
          await walk();
        } catch (error) {
          throw new Error(`${name}: ${error.stack}`);
        } finally {
          await page.screenshot({ path: `${shots}/part-${name}.png`, fullPage: true });
        }
      }
      assert.deepEqual(complaints, []);
    },
  },
];
