// Starts what a test needs and puts it away afterwards: a desk on an empty book, and a browser.
import { spawn } from "node:child_process";
import { mkdirSync, mkdtempSync, existsSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { performance } from "node:perf_hooks";
import { fileURLToPath } from "node:url";
import { chromium } from "playwright-core";
import { removeFolder } from "./folders.mjs";

const endpin =
  process.env.ENDPIN ?? fileURLToPath(new URL("../../build/dev/apps/endpin/endpin", import.meta.url));
const open = [];
/// What serves all tests of a file.
const ofFile = [];
let times = {};

export function closeAll() {
  return Promise.all(open.splice(0).map((close) => close()));
}

export function closeFile() {
  return Promise.all(ofFile.splice(0).map((close) => close()));
}

/// Where the time went since this was asked last: milliseconds by what was waited for.
export function spent() {
  const since = times;
  times = {};
  return since;
}

export async function timed(what, work) {
  const began = performance.now();
  try {
    return await work();
  } finally {
    times[what] = (times[what] ?? 0) + performance.now() - began;
  }
}

/// A folder that the tests of all processes share: whoever asks first makes what is in it, the others
/// wait until it is there.
export function sharedFolder(name, make) {
  const folder = `${process.env.ENDPIN_BROWSER_SHARED ?? temporaryFolder({ keep: true })}/${name}`;
  const made = `${folder}/.made`;
  const began = performance.now();
  try {
    mkdirSync(folder);
    make(folder);
    writeFileSync(made, "");
  } catch (error) {
    if (error.code !== "EEXIST") throw error;
    const pause = new Int32Array(new SharedArrayBuffer(4));
    while (!existsSync(made)) {
      if (performance.now() - began > 120_000) throw new Error(`${name} was not made in two minutes`);
      Atomics.wait(pause, 0, 0, 50);
    }
  }
  times["files made"] = (times["files made"] ?? 0) + performance.now() - began;
  return folder;
}

/// `close` is called when the test ends.
export function onClose(close) {
  open.push(close);
}

/// A folder that is gone when the test ends; with `keep`, when all have.
export function temporaryFolder({ keep = false } = {}) {
  const folder = mkdtempSync(`${tmpdir()}/endpin-browser-`);
  const clear = () => removeFolder(folder);
  if (keep) process.on("exit", clear);
  else open.push(clear);
  return folder;
}

/// The address of a desk on a new book: empty, or filled from the folder `demo`. With `forFile` it
/// serves all tests of the file.
export function startDesk(options = {}) {
  return timed("desks started", () => startedDesk(options));
}

async function startedDesk({ demo, forFile = false }) {
  const book = temporaryFolder({ keep: forFile });
  const web = fileURLToPath(new URL("../dist", import.meta.url));
  const desk = spawn(endpin, ["desk", "--book", book, "--port", "0", "--web", web, ...(demo ? ["--demo", demo] : [])], { stdio: ["ignore", "pipe", "pipe"] });
  (forFile ? ofFile : open).unshift(() => stopped(desk));
  let said = "";
  const address = new Promise((resolve, reject) => {
    const listen = (bytes) => {
      said += bytes;
      const found = /https?:\/\/[\w.:[\]-]+/.exec(said);
      if (found) resolve(found[0].replace(/\/$/, ""));
    };
    desk.stdout.on("data", listen);
    desk.stderr.on("data", listen);
    desk.on("error", reject);
    desk.on("exit", () => reject(new Error(`the desk ended: ${said}`)));
    setTimeout(() => reject(new Error(`the desk did not say its address: ${said}`)), 20000).unref();
  });
  return address;
}

function stopped(child) {
  if (child.exitCode !== null) return undefined;
  return new Promise((resolve) => {
    child.on("exit", resolve);
    child.kill("SIGTERM");
    setTimeout(() => child.kill("SIGKILL"), 5000).unref();
  });
}

let silent;
/// The file's browser without a microphone; each page of it has a profile of its own. One with a
/// microphone hears its file from the beginning, and is the test's alone.
async function browserFor(microphone) {
  if (microphone) {
    const own = await launched(microphone);
    open.unshift(() => own.close());
    return own;
  }
  if (!silent?.isConnected()) {
    silent = await launched();
    ofFile.unshift(() => silent.close());
  }
  return silent;
}

function launched(microphone) {
  return chromium.launch({
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    args: [
      "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run",
      "--disable-background-networking", "--disable-component-update", "--disable-sync",
      "--autoplay-policy=no-user-gesture-required",
      ...(microphone
        ? ["--use-fake-ui-for-media-stream", "--use-fake-device-for-media-stream",
           `--use-file-for-fake-audio-capture=${microphone}%noloop`]
        : []),
    ],
  });
}

/// A page with a profile of its own. `microphone` is a WAV file that it hears; without it, permission
/// is denied. Requests to anywhere but `home`, and complaints of the page, fail the test at its end.
export async function openPage({ home, microphone, width = 1280, height = 900, ...options } = {}) {
  const browser = await timed("browsers started", () => browserFor(microphone));
  const context = await browser.newContext({ viewport: { width, height }, reducedMotion: "reduce", ...options });
  // With the test's own browser its profile goes as well.
  if (!microphone) open.unshift(() => context.close());
  const page = await context.newPage();
  const complaints = [];
  page.on("request", (request) => {
    const url = new URL(request.url());
    const foreign = url.protocol === "file:" ? url.href !== home : url.origin !== new URL(home ?? "x:").origin;
    if (!["data:", "blob:"].includes(url.protocol) && home && foreign) {
      complaints.push(`foreign request: ${request.url()}`);
    }
  });
  page.on("pageerror", (error) => complaints.push(`page error: ${error.name} ${error.message} ${error.stack}`));
  page.on("console", (message) => {
    if (message.type() === "error") complaints.push(`console: ${message.text()}`);
  });
  return { page, complaints };
}

/// For `addInitScript`: what the page's microphones are, as `globalThis.tracks`.
export function knownTracks() {
  globalThis.tracks = [];
  const own = MediaDevices.prototype.getUserMedia;
  MediaDevices.prototype.getUserMedia = async function (...words) {
    const stream = await own.apply(this, words);
    globalThis.tracks.push(...stream.getAudioTracks());
    return stream;
  };
}

/// What a browser does when a headset is pulled out ("ended"), or a call comes in ("mute") and is
/// over ("unmute"): Media Capture and Streams, sections 4.3.1 and 4.3.4.
export function happensToMicrophone(page, what) {
  return page.evaluate((name) => {
    if (name === "ended") globalThis.tracks.at(-1).stop();
    globalThis.tracks.at(-1).dispatchEvent(new Event(name));
  }, what);
}
