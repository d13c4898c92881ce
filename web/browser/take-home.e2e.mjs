// The student's page, opened as a file without a network, as a phone has it.
import assert from "node:assert/strict";
import { mkdirSync } from "node:fs";
import { seriousFindings } from "./axe.mjs";
import { happensToMicrophone, knownTracks, openPage } from "./desk.mjs";
import { playedTake, shots, takeHome } from "./files.mjs";
import { sentBack } from "./sent-back.mjs";

mkdirSync(shots, { recursive: true });

async function opened({ before, ...options } = {}) {
  const { page, complaints } = await openPage({ width: 390, height: 844, home: takeHome(), ...options });
  if (before) await page.addInitScript(before);
  await page.context().setOffline(true);
  await page.goto(takeHome());
  await page.getByRole("heading", { level: 1, name: "Ode to Joy" }).waitFor();
  await page.getByRole("button", { name: /The piece/ }).click();
  await page.locator(".engraved .notehead").first().waitFor();
  return { page, complaints };
}

/// Records until the count-in is over: a bar of four at 50 beats a minute, some five seconds.
async function startRecording(page) {
  await page.getByRole("button", { name: "Record", exact: true }).click();
  await page.getByRole("button", { name: "Count in and record" }).click();
  await page.getByText(/Recording: \d+ s/).waitFor({ timeout: 20000 });
}

export default [
  {
    name: "the page plays, loops a touched bar and changes its tempo, with no network",
    async run() {
      const { page, complaints } = await opened();
      const tempo = page.locator("output");
      const before = Number(/\d+/.exec(await tempo.textContent())[0]);
      await page.getByRole("button", { name: "Faster" }).click();
      assert.match(await tempo.textContent(), new RegExp(`= ${before + 4}`));
      await page.getByRole("button", { name: "Loop measure 2", exact: true }).click();
      await page.getByText("Looping measure 2").waitFor();
      await page.getByRole("button", { name: "Count-in" }).click();
      await page.getByRole("slider", { name: "Tempo" }).fill("160");
      await page.getByRole("button", { name: "Play" }).click();
      await page.locator(".over .bow").waitFor();
      await page.screenshot({ path: `${shots}/take-home.png` });
      // The place moves back once the bar is over: twice, so that it is a loop and no beginning.
      await page.evaluate(() => {
        globalThis.rounds = 0;
        let before = -Infinity;
        const look = () => {
          const now = document.querySelector(".over .bow")?.getBoundingClientRect().x ?? before;
          if (now < before - 20) globalThis.rounds++;
          before = now;
          requestAnimationFrame(look);
        };
        look();
      });
      await page.waitForFunction(() => globalThis.rounds === 2, undefined, { timeout: 30000 });
      assert.equal(await page.locator(".over .bow").count(), 1);
      await page.getByRole("button", { name: "Stop" }).click();
      assert.deepEqual(complaints, []);
    },
  },
  {
    name: "what was recorded is kept over a reload, and goes back as a file that another program opens",
    async run() {
      const { page, complaints } = await opened({ microphone: playedTake() });
      await startRecording(page);
      await page.getByRole("button", { name: "Stop recording" }).click();
      await page.getByRole("heading", { name: "My takes" }).waitFor();
      await page.reload();
      await page.getByRole("button", { name: /The piece/ }).click();
      await page.getByRole("heading", { name: "My takes" }).waitFor();
      const { take, broken, seconds } = await sentBack(page);
      assert.equal(take.schema, "endpin.take/1");
      assert.equal(take.item, "piece");
      assert.match(take.audio_sha256, /^[0-9a-f]{64}$/);
      assert.equal(take.microphone.auto_gain_control, false);
      assert.ok(take.playback.start_s > 3 && take.playback.start_s < 8, `first note due at ${take.playback.start_s} s`);
      assert.equal(broken, null);
      assert.ok(seconds > 3, `${seconds} s of sound`);
      assert.deepEqual(complaints, []);
    },
  },
  {
    name: "a page that is closed while it records loses no more than the last second",
    async run() {
      const { page } = await opened({ microphone: playedTake() });
      await startRecording(page);
      await page.reload();
      await page.getByRole("button", { name: /The piece/ }).click();
      await page.getByRole("heading", { name: "My takes" }).waitFor();
      const { seconds } = await sentBack(page);
      assert.ok(seconds > 3, `${seconds} s of sound`);
    },
  },
  {
    name: "a microphone that goes away in the middle of a take ends it: it is kept and offered, and the page says what to do",
    async run() {
      for (const what of ["ended", "mute"]) {
        const { page, complaints } = await opened({ microphone: playedTake(), before: knownTracks });
        await startRecording(page);
        await happensToMicrophone(page, what);
        await page.getByRole("alert").filter({ hasText: "Your take up to there is kept." }).waitFor();
        await page.getByRole("heading", { name: "My takes" }).waitFor();
        const { seconds } = await sentBack(page);
        assert.ok(seconds > 3, `${what}: ${seconds} s of sound`);
        await page.getByRole("button", { name: "Record", exact: true }).click();
        await page.getByRole("button", { name: "Count in and record" }).waitFor();
        assert.equal(await page.getByRole("alert").count(), 0);
        await happensToMicrophone(page, what);
        await page.getByText("When it is back, press “Record” again.").waitFor();
        assert.equal(await page.getByRole("heading", { name: "My takes" }).locator("..").getByRole("article").count(), 1);
        assert.deepEqual(complaints, []);
      }
    },
  },
  {
    name: "a microphone that is silent for a moment only does not end a take",
    async run() {
      const { page } = await opened({ microphone: playedTake(), before: knownTracks });
      await startRecording(page);
      await happensToMicrophone(page, "mute");
      await happensToMicrophone(page, "unmute");
      const until = Number(/\d+/.exec(await page.getByText(/Recording: \d+ s/).textContent())[0]) + 3;
      await page.getByText(`Recording: ${until} s`).waitFor();
      await page.getByRole("button", { name: "Stop recording" }).click();
      await page.getByRole("heading", { name: "My takes" }).waitFor();
      assert.equal(await page.getByRole("alert").count(), 0);
    },
  },
  {
    name: "without a microphone the page says what to do, and a loaded recording stands beside it",
    async run() {
      const { page } = await opened();
      await page.getByRole("button", { name: "Record", exact: true }).click();
      await page.getByRole("alert").waitFor();
      const record = await page.getByRole("button", { name: "Record", exact: true }).boundingBox();
      const load = await page.getByRole("button", { name: "Load a recording" }).boundingBox();
      assert.ok(Math.abs(record.width - load.width) < 1 && Math.abs(record.height - load.height) < 1);
      await page.locator('input[data-role="recording"]').setInputFiles(playedTake());
      await page.getByRole("heading", { name: "My takes" }).waitFor();
    },
  },
  {
    name: "without scripts the part, the tasks and the ladder are there, and how to open the page",
    async run() {
      const { page } = await opened.call(null, {}).then(async ({ page: first }) => {
        await first.close();
        return openPage({ javaScriptEnabled: false, width: 390, height: 844 });
      });
      await page.goto(takeHome());
      assert.ok(await page.getByText("save this file and open it in the browser").isVisible());
      assert.ok(await page.locator("figure[data-picture='piece'][data-shape='narrow'] svg").first().isVisible());
      assert.ok(await page.getByRole("heading", { name: "Tempo ladder" }).isVisible());
      assert.equal(await page.getByText("im Browser öffnen").isVisible(), false);
    },
  },
  {
    name: "axe-core finds nothing serious on the take-home page, light and dark, small and large",
    async run() {
      for (const [width, height, colorScheme] of [[360, 640, "light"], [844, 390, "dark"], [820, 1180, "light"]]) {
        const { page } = await opened({ width, height, colorScheme, bypassCSP: true });
        assert.deepEqual(await seriousFindings(page), [], `${width} × ${height}, ${colorScheme}`);
        assert.equal(await page.evaluate(() => document.documentElement.scrollWidth > innerWidth), false);
      }
    },
  },
];
