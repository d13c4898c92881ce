// The student's page where a browser gives it less: no room, no origin, another language.
import assert from "node:assert/strict";
import { readFileSync, writeFileSync } from "node:fs";
import { createServer } from "node:http";
import { fileURLToPath, pathToFileURL } from "node:url";
import { onClose, openPage, temporaryFolder } from "./desk.mjs";
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

/// The page as a file of the test's own.
function asFile(html) {
  const file = `${temporaryFolder()}/take-home.html`;
  writeFileSync(file, html);
  return pathToFileURL(file).href;
}

/// The page with another listening core, made of its own by `changed`.
function withCore(changed) {
  const html = readFileSync(fileURLToPath(takeHome()), "utf8");
  const own = /"core":"([^"]*,)?([^"]+)"/.exec(html);
  assert.ok(own, "the page carries a core: build it with cmake --preset wasm");
  const core = Buffer.from(changed(Buffer.from(own[2], "base64"))).toString("base64");
  return asFile(html.replace(own[2], () => core));
}

/// LEB128, as WebAssembly writes its numbers (core specification, 5.2.2).
function leb(n) {
  return n < 128 ? [n] : [(n & 127) | 128, ...leb(n >> 7)];
}
function readLeb(bytes, at) {
  let n = 0;
  for (let shift = 0; ; shift += 7) {
    n += (bytes[at] & 127) * 2 ** shift;
    if (bytes[at++] < 128) return [n, at];
  }
}
const section = (id, content) => [id, ...leb(content.length), ...content];
const name = (text) => [text.length, ...Buffer.from(text)];

/// A module of one function, endpin_listen_version, which has this body.
function coreOf(...body) {
  return [
    0, 0x61, 0x73, 0x6d, 1, 0, 0, 0,
    ...section(1, [1, 0x60, 0, 1, 0x7f]),
    ...section(3, [1, 0]),
    ...section(5, [1, 0, 1]),
    ...section(7, [2, ...name("memory"), 2, 0, ...name("endpin_listen_version"), 0, 0]),
    ...section(10, [1, body.length + 2, 0, ...body, 0x0b]),
  ];
}

/// A core that has `pages` of 64 KiB and gets no more: its memory section (5.5.8) anew.
function smallCore(core, pages) {
  for (let at = 8; at < core.length; ) {
    const [size, content] = readLeb(core, at + 1);
    if (core[at] === 5) {
      const memory = section(5, [1, 1, ...leb(pages), ...leb(pages)]);
      return Buffer.concat([core.subarray(0, at), Buffer.from(memory), core.subarray(content + size)]);
    }
    at = content + size;
  }
  throw new Error("a core without a memory");
}

const otherVersion = () => coreOf(0x41, 1);
const unknownInstruction = () => coreOf(0xff);

export default [
  {
    name: "why the page cannot listen is said: another version, no memory, or the browser; the recording can be sent",
    async run() {
      for (const [changed, sentence] of [
        [otherVersion, "is of another version. Reload the page"],
        [unknownInstruction, "This browser cannot run the part of the page that listens."],
        // No room for the 8.8 MB of sound; and room for it, but not for hearing it.
        [(core) => smallCore(core, 64), "not enough memory to listen. Close other tabs"],
        [(core) => smallCore(core, 165), "not enough memory to listen. Close other tabs"],
      ]) {
        const home = withCore(changed);
        const { page, complaints } = await openPage({ width: 390, height: 844, home });
        await page.goto(home);
        await thePiece(page);
        await page.locator('input[data-role="recording"]').setInputFiles(playedTake());
        await page.getByRole("button", { name: "What do you hear?" }).click();
        await page.getByRole("alert").filter({ hasText: sentence }).waitFor({ timeout: 60000 });
        assert.ok((await sentBack(page)).bytes > 0);
        assert.deepEqual(complaints, []);
      }
    },
  },
  {
    name: "what is no recording is said to be none, and nothing else is blamed",
    async run() {
      const home = takeHome();
      const { page } = await openPage({ width: 390, height: 844, home });
      await page.goto(home);
      await thePiece(page);
      await page.locator('input[data-role="recording"]').setInputFiles(fileURLToPath(import.meta.url));
      await page.getByRole("button", { name: "What do you hear?" }).click();
      await page.getByText("This recording could not be opened. Try another one.").waitFor();
    },
  },
  {
    name: "why the page cannot follow is said as well",
    async run() {
      for (const [changed, sentence] of [
        [otherVersion, "of another version. Reload the page"],
        [(core) => smallCore(core, 22), "there is not enough memory. Close other tabs"],
      ]) {
        const home = withCore(changed);
        const { page } = await openPage({ width: 390, height: 844, home, microphone: playedTake() });
        await page.goto(home);
        await thePiece(page);
        await page.getByRole("button", { name: "Follow me" }).click();
        await page.getByRole("alert").filter({ hasText: sentence }).waitFor({ timeout: 30000 });
      }
    },
  },
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
      const english = readFileSync(fileURLToPath(takeHome()), "utf8");
      for (const language of ["en-GB", "de", "fr", "es", "it", "pt"]) {
        const home = asFile(english.replaceAll('"language":"en-US"', `"language":"${language}"`));
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
