// Starts what a test needs and puts it away afterwards: a desk on an empty book, and a browser.
import { spawn } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { fileURLToPath } from "node:url";
import { chromium } from "playwright-core";

const endpin =
  process.env.ENDPIN ?? fileURLToPath(new URL("../../build/dev/apps/endpin/endpin", import.meta.url));
const open = [];

export function closeAll() {
  return Promise.all(open.splice(0).map((close) => close()));
}

/// `close` is called when the test ends.
export function onClose(close) {
  open.push(close);
}

/// A folder that is gone when the test ends; with `keep`, when all have.
export function temporaryFolder({ keep = false } = {}) {
  const folder = mkdtempSync(`${tmpdir()}/endpin-browser-`);
  const clear = () => rmSync(folder, { recursive: true, force: true, maxRetries: 5 });
  if (keep) process.on("exit", clear);
  else open.push(clear);
  return folder;
}

/// The address of a desk on a new book: empty, or filled from the folder `demo`.
export async function startDesk({ demo } = {}) {
  const book = temporaryFolder();
  const web = fileURLToPath(new URL("../dist", import.meta.url));
  const desk = spawn(endpin, ["desk", "--book", book, "--port", "0", "--web", web, ...(demo ? ["--demo", demo] : [])], { stdio: ["ignore", "pipe", "pipe"] });
  open.unshift(() => stopped(desk));
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

/// A page of a fresh browser. `microphone` is a WAV file that it hears; without it, permission is
/// denied. Requests to anywhere but `home`, and complaints of the page, fail the test at its end.
export async function openPage({ home, microphone, width = 1280, height = 900, ...options } = {}) {
  const browser = await chromium.launch({
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
  open.unshift(() => browser.close());
  const context = await browser.newContext({ viewport: { width, height }, reducedMotion: "reduce", ...options });
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
