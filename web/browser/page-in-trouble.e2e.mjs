// The student's page where a browser gives it less: no room, no origin, another language.
import assert from "node:assert/strict";
import { readFileSync, writeFileSync } from "node:fs";
import { createServer } from "node:http";
import { fileURLToPath } from "node:url";
import { onClose, openPage } from "./desk.mjs";
import { playedTake, takeHome } from "./files.mjs";
import { sentBack } from "./sent-back.mjs";

/// The page on loopback, `/frame` with it in a frame that has no origin of its own.
async function served() {
  const file = readFileSync(fileURLToPath(takeHome()));
  const frame = `<iframe src="/" sandbox="allow-scripts allow-downloads" allow="microphone" width="390" height="800"></iframe>`;
  const server = createServer((request, answer) => {
    answer.writeHead(200, { "Content-Type": "text/html; charset=utf-8" });
    answer.end(request.url === "/frame" ? frame : file);
  });
  await new Promise((done) => server.listen(0, "127.0.0.1", done));
  onClose(() => server.close());
  return `http://127.0.0.1:${server.address().port}`;
}

async function thePiece(at) {
  await at.getByRole("button", { name: /The piece/ }).click();
  await at.locator(".engraved .notehead").first().waitFor();
}

export default [
  {
    name: "where the phone has no room the page says so, keeps what it had kept and loses no recording",
    async run() {
      const home = await served();
      const { page } = await openPage({ width: 390, height: 844, home, microphone: playedTake() });
      await page.goto(home);
      const devtools = await page.context().newCDPSession(page);
      await devtools.send("Storage.overrideQuotaForOrigin", { origin: home, quotaSize: 1_000_000 });
      await thePiece(page);
      await page.getByRole("button", { name: "Record", exact: true }).click();
      await page.getByRole("button", { name: "Count in and record" }).click();
      await page.getByText("The phone has no room left").waitFor({ timeout: 30000 });
      await page.getByRole("button", { name: "Stop recording" }).click();
      await page.getByText("There was no room for this take").waitFor();
      const whole = (await sentBack(page)).seconds;
      assert.ok(whole > 3, `${whole} s are sent though they could not be kept`);
      await page.reload();
      await thePiece(page);
      await page.getByRole("heading", { name: "My takes" }).waitFor();
      const kept = (await sentBack(page)).seconds;
      assert.ok(kept >= 0.5 && kept <= whole, `${kept} of ${whole} s were kept before`);
    },
  },
  {
    name: "in a frame without an origin the page plays, takes a recording, hears it and says that nothing is kept",
    async run() {
      const home = await served();
      const { page, complaints } = await openPage({ width: 390, height: 844, home });
      await page.goto(`${home}/frame`);
      const frame = page.frameLocator("iframe");
      await thePiece(frame);
      await frame.getByText("This browser keeps nothing for this page").waitFor();
      await frame.getByRole("button", { name: "Play", exact: true }).click();
      await frame.getByRole("button", { name: "Stop" }).click();
      await frame.getByRole("button", { name: "Record", exact: true }).click();
      await frame.getByRole("alert").filter({ hasText: "microphone" }).waitFor();
      await frame.locator('input[data-role="recording"]').setInputFiles(playedTake());
      await frame.getByRole("button", { name: "What do you hear?" }).click();
      await frame.getByText("That was well in tune.").waitFor({ timeout: 60000 });
      // A frame that may not keep the screen on is told so by the browser; the page goes on.
      assert.deepEqual(complaints.filter((c) => !c.includes("screen-wake-lock")), []);
    },
  },
  {
    name: "the page opens in each language, and nothing is wider than the smallest phone",
    async run() {
      const home = takeHome();
      const file = fileURLToPath(home);
      const english = readFileSync(file, "utf8");
      onClose(() => writeFileSync(file, english));
      for (const language of ["en-GB", "de", "fr", "es", "it", "pt"]) {
        writeFileSync(file, english.replaceAll('"language":"en-US"', `"language":"${language}"`));
        const { page, complaints } = await openPage({ width: 360, height: 640, home });
        await page.goto(home);
        await page.locator(".dock").waitFor();
        assert.equal(await page.evaluate(() => document.documentElement.lang), language);
        const over = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
        assert.ok(over <= 0, `${language}: ${over} px too wide`);
        assert.deepEqual(complaints, []);
      }
    },
  },
];
