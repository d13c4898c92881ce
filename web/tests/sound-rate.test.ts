import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { afterAll, expect, test } from "vitest";
import { wav } from "../src/recorder/wav";
import { soundRate } from "../src/takehome/sound-rate";

const folder = mkdtempSync(`${tmpdir()}/rate-`);
afterAll(() => rmSync(folder, { recursive: true }));

test("the rate of the page's own recording is read from it", async () => {
  const file = wav(new Float32Array(100), 44100);
  expect(soundRate(new Uint8Array(await file.arrayBuffer()))).toBe(44100);
});

/// Files of another program: FFmpeg's.
test.each([
  ["wav", 44100], ["wav", 16000], ["flac", 44100], ["flac", 96000], ["mp3", 44100], ["mp3", 22050],
  ["m4a", 44100], ["m4a", 48000], ["ogg", 48000], ["webm", 48000],
])("a %s file of %i samples a second is decoded at its own rate", (ending, rate) => {
  const file = `${folder}/${rate}.${ending}`;
  const codec = ending === "ogg" || ending === "webm" ? ["-c:a", "libopus"] : [];
  execFileSync("ffmpeg", ["-v", "error", "-f", "lavfi", "-i", "sine=duration=0.3", "-ar", String(rate), ...codec, file]);
  expect(soundRate(new Uint8Array(readFileSync(file)))).toBe(rate);
});

test("what is no sound file at all is taken at the usual rate", () => {
  for (const bytes of [[], [1], [0x52, 0x49, 0x46, 0x46], new Array<number>(64).fill(255)]) {
    expect(soundRate(Uint8Array.from(bytes))).toBeGreaterThan(7999);
  }
});
