import { expect, test } from "vitest";
import { sixteenBit, wav, wavOf } from "../src/recorder/wav";

/// The WAVE format as in "Multimedia Programming Interface and Data Specifications 1.0" (1991).
test("a recording is a 16-bit mono WAV file of the microphone's rate", async () => {
  const bytes = new DataView(await wav(Float32Array.of(0, 1, -1, 2, 0.5), 44100).arrayBuffer());
  const tag = (at: number) => String.fromCharCode(...[0, 1, 2, 3].map((i) => bytes.getUint8(at + i)));
  expect([tag(0), tag(8), tag(12), tag(36)]).toEqual(["RIFF", "WAVE", "fmt ", "data"]);
  expect(bytes.getUint32(4, true)).toBe(bytes.byteLength - 8);
  expect(bytes.getUint16(22, true)).toBe(1);
  expect(bytes.getUint32(24, true)).toBe(44100);
  expect(bytes.getUint32(40, true)).toBe(10);
  const samples = [0, 1, 2, 3, 4].map((i) => bytes.getInt16(44 + 2 * i, true));
  expect(samples).toEqual([0, 32767, -32767, 32767, 16384]);
});

test("blocks follow each other in the file as they were recorded", async () => {
  const blocks = [Float32Array.of(0.1, 0.2), Float32Array.of(), Float32Array.of(-0.3)];
  const apart = await wavOf(blocks.map(sixteenBit), 48000).arrayBuffer();
  const whole = await wav(Float32Array.of(0.1, 0.2, -0.3), 48000).arrayBuffer();
  expect(new Uint8Array(apart)).toEqual(new Uint8Array(whole));
});
