// Files that the tests make with the program itself.
import { execFileSync } from "node:child_process";
import { fileURLToPath, pathToFileURL } from "node:url";
import { sharedFolder, temporaryFolder } from "./desk.mjs";

const root = new URL("../../", import.meta.url);
export const endpin = process.env.ENDPIN ?? fileURLToPath(new URL("build/dev/apps/endpin/endpin", root));
export const shots = fileURLToPath(new URL("web/shots/", root));

export function demo(path) {
  return fileURLToPath(new URL(`demo/${path}`, root));
}
export const score = demo("pieces/ode-to-joy.musicxml");

/// The demo's tune, played by the program itself.
export function playedTake() {
  const folder = sharedFolder("played", (at) => execFileSync(endpin, ["play", score, "-o", `${at}/take.wav`, "--tempo", "84"]));
  return `${folder}/take.wav`;
}

/// The address of the demo tune's take-home page. It is every test's: none may change it.
export function takeHome() {
  const folder = sharedFolder("take-home", (at) => execFileSync(endpin, ["lesson", score, "-o", `${at}/lesson`, "--date", "2026-03-01"]));
  return pathToFileURL(`${folder}/lesson/take-home.html`).href;
}

/// A take of the demo as a WAV file, which needs no codec of the browser.
export function takeOf(name) {
  const file = `${temporaryFolder({ keep: true })}/${name}.wav`;
  execFileSync("ffmpeg", ["-v", "error", "-i", demo(`takes/${name}`), "-ac", "1", file]);
  return file;
}

/// Half a minute of a bowed string's tone, as a WAV file: a fundamental and four overtones.
export function heldTone(hertz) {
  const file = `${temporaryFolder({ keep: true })}/tone.wav`;
  const tone = [1, 2, 3, 4, 5].map((n) => `${0.3 / n}*sin(2*PI*${n * hertz}*t)`).join("+");
  execFileSync("ffmpeg", ["-v", "error", "-f", "lavfi", "-i", `aevalsrc=${tone}:s=48000:d=30`, file]);
  return file;
}

/// `bars` of the demo's tune at `tempo` beats a minute, after `seconds` of silence.
export function playedLate({ bars, tempo, seconds }) {
  const folder = temporaryFolder({ keep: true });
  execFileSync(endpin, ["play", score, "-o", `${folder}/bars.wav`, "--bars", bars, "--tempo", `${tempo}`]);
  const late = `adelay=${Math.round(1000 * seconds)}:all=1`;
  execFileSync("ffmpeg", ["-v", "error", "-i", `${folder}/bars.wav`, "-af", late, `${folder}/late.wav`]);
  return `${folder}/late.wav`;
}
