// Files that the tests make with the program itself.
import { execFileSync } from "node:child_process";
import { fileURLToPath, pathToFileURL } from "node:url";
import { temporaryFolder } from "./desk.mjs";

const root = new URL("../../", import.meta.url);
export const endpin = process.env.ENDPIN ?? fileURLToPath(new URL("build/dev/apps/endpin/endpin", root));
export const shots = fileURLToPath(new URL("web/shots/", root));

export function demo(path) {
  return fileURLToPath(new URL(`demo/${path}`, root));
}
export const score = demo("pieces/ode-to-joy.musicxml");

let take;
/// The demo's tune, played by the program itself.
export function playedTake() {
  if (!take) {
    take = `${temporaryFolder({ keep: true })}/take.wav`;
    execFileSync(endpin, ["play", score, "-o", take, "--tempo", "84"]);
  }
  return take;
}

let home;
/// The address of the demo tune's take-home page.
export function takeHome() {
  if (!home) {
    home = `${temporaryFolder({ keep: true })}/lesson`;
    execFileSync(endpin, ["lesson", score, "-o", home, "--date", "2026-03-01"]);
  }
  return pathToFileURL(`${home}/take-home.html`).href;
}

/// A take of the demo as a WAV file, which needs no codec of the browser.
export function takeOf(name) {
  const file = `${temporaryFolder({ keep: true })}/${name}.wav`;
  execFileSync("ffmpeg", ["-v", "error", "-i", demo(`takes/${name}`), "-ac", "1", file]);
  return file;
}
