// A recording that holds a warm-up, a drill and the piece of its lesson, taken apart by the desk.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { posted, read, until } from "./ask.mjs";
import { openPage, startDesk, temporaryFolder } from "./desk.mjs";
import { playedTake, score, shots } from "./files.mjs";

mkdirSync(shots, { recursive: true });

/// The lesson's own sounds one after the other, as somebody would play them, two seconds apart.
async function playedLesson(home, lesson, keys) {
  const folder = temporaryFolder();
  const files = [];
  for (const key of keys) {
    const answer = await fetch(`${home}/api/lessons/${lesson.id}/files/${key}-part.opus`);
    assert.ok(answer.ok, key);
    files.push(`${folder}/${key}.opus`);
    writeFileSync(files[files.length - 1], Buffer.from(await answer.arrayBuffer()));
  }
  files.push(playedTake());
  const apart = files.map((_, i) => `[${i}:a]aresample=48000,aformat=channel_layouts=mono,apad=pad_dur=2[p${i}]`).join(";");
  const joined = `${files.map((_, i) => `[p${i}]`).join("")}concat=n=${files.length}:v=0:a=1`;
  const take = `${folder}/lesson.wav`;
  execFileSync("ffmpeg", ["-v", "error", ...files.flatMap((f) => ["-i", f]), "-filter_complex", `${apart};${joined}`, take]);
  return readFileSync(take);
}

export default [
  {
    name: "a recording of warm-up, drill and piece is taken apart, and each can be seen and heard",
    async run() {
      const home = await startDesk();
      const piece = await posted(`${home}/api/pieces?name=ode-to-joy.musicxml`, readFileSync(score), "application/octet-stream");
      const { items } = await read(`${home}/api/pieces/${piece.id}/proposals`);
      const [warmUp] = items.filter((i) => i.ticked && i.kind === "warm-up");
      const [drill] = items.filter((i) => i.ticked && i.kind === "drill");
      const made = await posted(`${home}/api/lessons`, JSON.stringify({ piece: piece.id, items: [warmUp.key, drill.key, "piece"] }));
      const lesson = await until(`${home}/api/lessons/${made.id}`, (l) => l.state !== "making");
      assert.equal(lesson.state, "ready");
      const sound = await playedLesson(home, lesson, [warmUp.key, drill.key]);
      const take = await posted(`${home}/api/takes?name=week.wav&lesson=${lesson.id}`, sound, "application/octet-stream");
      await until(`${home}/api/takes/${take.id}`, (t) => t.state === "heard");

      const { page, complaints } = await openPage({ home });
      await page.goto(`${home}/#/takes/${take.id}`);
      const parts = page.getByRole("group", { name: "What is in this recording" }).getByRole("button");
      await parts.first().waitFor();
      assert.equal(await parts.count(), 3);
      assert.match(await parts.nth(0).textContent(), new RegExp(warmUp.title));
      assert.match(await parts.nth(1).textContent(), new RegExp(drill.title));
      assert.match(await parts.nth(2).textContent(), /The piece/);
      assert.equal(await parts.nth(2).getAttribute("aria-pressed"), "true");
      await page.locator(".lanes .held").first().waitFor();
      await page.screenshot({ path: `${shots}/take-of-several.png`, fullPage: true });

      const notes = await page.locator("[data-note]").count();
      await parts.nth(0).click();
      await page.waitForFunction((n) => {
        const now = document.querySelectorAll("[data-note]").length;
        return now > 0 && now < n;
      }, notes);
      await page.locator(".lanes .held").first().waitFor();
      await page.getByRole("button", { name: "Stop" }).first().waitFor();
      await page.screenshot({ path: `${shots}/take-of-several-warm-up.png`, fullPage: true });
      await page.setViewportSize({ width: 390, height: 844 });
      await page.emulateMedia({ colorScheme: "dark" });
      assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= 390));
      await page.screenshot({ path: `${shots}/take-of-several-phone.png` });
      assert.deepEqual(complaints, []);
    },
  },
];
