// The student's page around the playing: tuning, the screen kept on, the week's minutes, what is said
// where something is not sure.
import assert from "node:assert/strict";
import { openPage } from "./desk.mjs";
import { heldTone, playedLate, playedTake, takeHome, takeOf } from "./files.mjs";
import { sentBack } from "./sent-back.mjs";

async function opened({ before, ...options } = {}) {
  const { page, complaints } = await openPage({ width: 390, height: 844, home: takeHome(), ...options });
  if (before) await page.addInitScript(before);
  await page.goto(takeHome());
  await page.locator(".dock").waitFor();
  return { page, complaints };
}

async function thePiece(page) {
  await page.getByRole("button", { name: /The piece/ }).click();
  await page.locator(".engraved .notehead").first().waitFor();
}

/// Counts what the page asks the browser for.
function countedLocks() {
  globalThis.held = 0;
  globalThis.asked = 0;
  const request = () => {
    globalThis.held++;
    globalThis.asked++;
    return Promise.resolve({ release: () => Promise.resolve(globalThis.held--) });
  };
  Object.defineProperty(navigator, "wakeLock", { value: { request } });
}

const a3 = 220;
const centsHigher = (cents) => a3 * 2 ** (cents / 1200);

export default [
  {
    name: "the page says in words which way an open string is off and how far, and who turns what",
    async run() {
      for (const [cents, sentence] of [[-22, "A little low: fine tuner"], [3, "In tune."], [75, "Much too high: ask a grown-up"]]) {
        const { page } = await opened({ microphone: heldTone(centsHigher(cents)) });
        await page.getByRole("button", { name: "Tune" }).click();
        await page.getByText("strings can snap").waitFor();
        await page.getByRole("button", { name: "Listen to my string" }).click();
        await page.getByText(sentence).waitFor({ timeout: 10000 });
      }
    },
  },
  {
    name: "an open string's tone sounds without a microphone",
    async run() {
      const { page, complaints } = await opened({
        before: () => {
          const start = AudioBufferSourceNode.prototype.start;
          globalThis.tones = 0;
          AudioBufferSourceNode.prototype.start = function (...words) {
            globalThis.tones++;
            return start.apply(this, words);
          };
        },
      });
      await page.getByRole("button", { name: "Tune" }).click();
      await page.getByRole("button", { name: "D", exact: true }).click();
      await page.waitForFunction(() => globalThis.tones > 0);
      assert.deepEqual(complaints, []);
    },
  },
  {
    name: "the screen stays on while something plays, again after the page was hidden, and then may go dark",
    async run() {
      const { page } = await opened({ before: countedLocks });
      await thePiece(page);
      await page.getByRole("button", { name: "Play", exact: true }).click();
      await page.waitForFunction(() => globalThis.held === 1);
      await page.evaluate(() => document.dispatchEvent(new Event("visibilitychange")));
      await page.waitForFunction(() => globalThis.asked === 2);
      await page.getByRole("button", { name: "Stop" }).click();
      await page.waitForFunction(() => globalThis.held <= 1);
      await page.evaluate(() => document.dispatchEvent(new Event("visibilitychange")));
      assert.equal(await page.evaluate(() => globalThis.asked), 2, "nothing is asked for once it has stopped");
    },
  },
  {
    name: "minutes of the week stand on the page, and are in nothing that is sent",
    async run() {
      const { page } = await opened({ microphone: playedTake() });
      await thePiece(page);
      await page.getByRole("button", { name: "Record", exact: true }).click();
      await page.getByRole("button", { name: "Count in and record" }).click();
      await page.getByText(/Recording: \d+ s/).waitFor({ timeout: 20000 });
      await page.getByRole("button", { name: "Stop recording" }).click();
      await page.getByRole("heading", { name: "Practiced this week" }).waitFor();
      const { take } = await sentBack(page);
      assert.doesNotMatch(JSON.stringify(take), /minutes|practi/i);
    },
  },
  {
    name: "the browser is asked to keep what was recorded, and the page says when it may clear it",
    async run() {
      const { page } = await opened({
        before: () => {
          globalThis.asked = 0;
          const persist = () => Promise.resolve(++globalThis.asked > 1);
          Object.defineProperty(navigator, "storage", { value: { persisted: () => Promise.resolve(false), persist } });
        },
      });
      await thePiece(page);
      const said = page.getByText("The browser may clear takes by itself");
      await page.locator('input[data-role="recording"]').setInputFiles(playedTake());
      await page.waitForFunction(() => globalThis.asked === 1);
      assert.ok(await said.isVisible(), "it has promised nothing");
      await page.locator('input[data-role="recording"]').setInputFiles(playedTake());
      await said.waitFor({ state: "hidden" });
    },
  },
  {
    name: "where the browser changes the sound all the same, the page says so before anything is recorded",
    async run() {
      const { page } = await opened({
        microphone: playedTake(),
        before: () => {
          const own = MediaStreamTrack.prototype.getSettings;
          MediaStreamTrack.prototype.getSettings = function () {
            return { ...own.call(this), autoGainControl: true };
          };
        },
      });
      await thePiece(page);
      await page.getByRole("button", { name: "Record", exact: true }).click();
      await page.getByText("This browser changes the sound").waitFor();
    },
  },
  {
    name: "of another tune the page says only that it could not hear that clearly",
    async run() {
      const { page } = await opened();
      await thePiece(page);
      await page.locator('input[data-role="recording"]').setInputFiles(takeOf("marit-greensleeves.opus"));
      await page.getByRole("button", { name: "What do you hear?" }).click();
      await page.getByText("I couldn't hear that clearly.").waitFor({ timeout: 60000 });
      assert.equal(await page.locator(".good, .work").count(), 0);
    },
  },
  {
    name: "a headphone's constant lag is not the player's: behind the model all along, nothing is late",
    async run() {
      const tempo = 60;
      const { page } = await opened({ microphone: playedLate({ bars: "1-4", tempo, seconds: 5.2 }) });
      await thePiece(page);
      await page.getByRole("slider", { name: "Tempo" }).fill(`${tempo}`);
      assert.match(await page.locator("output").textContent(), new RegExp(`= ${tempo}$`));
      await page.getByRole("button", { name: "Record", exact: true }).click();
      await page.getByLabel(/I wear headphones/).check();
      await page.getByText("Begin softly").waitFor();
      await page.getByRole("button", { name: "Count in and record" }).click();
      await page.waitForTimeout(24_000);
      await page.getByRole("button", { name: "Stop recording" }).click();
      await page.getByRole("button", { name: "What do you hear?" }).click();
      await page.locator("[data-said]").waitFor({ timeout: 60000 });
      const { take } = await sentBack(page);
      assert.deepEqual([take.playback.track, take.playback.headphones], ["model", true]);
      const first = take.hearing.notes.find((note) => note.state === "heard");
      const lag = first.heard.onset_s - take.playback.start_s;
      console.log(`     the first note sounds ${lag.toFixed(2)} s after the model's`);
      assert.ok(lag > 0.15 && lag < 2, `${lag} s`);
      const timing = take.hearing.findings.filter((f) => ["early", "late", "uneven", "dragging", "rushing", "hesitation"].includes(f.kind));
      assert.deepEqual(timing.map((f) => f.says), []);
      const deviations = take.hearing.notes.filter((note) => note.heard).map((note) => Math.abs(note.heard.deviation_ms ?? 0));
      assert.ok(Math.max(...deviations) < 100, `${Math.max(...deviations)} ms`);
    },
  },
  {
    name: "on what recording was tried is said in one line, with more for who asks",
    async run() {
      const { page } = await opened();
      await thePiece(page);
      const more = page.getByText("record with the phone's own recorder", { exact: false }).first();
      assert.equal(await more.isVisible(), false);
      await page.getByText("Other browsers and phones are untested").click();
      assert.ok(await more.isVisible());
    },
  },
];
