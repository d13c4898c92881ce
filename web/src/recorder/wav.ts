/// A mono sound as a WAV file, 16 bit. `samples` from −1 to 1; beyond that they are clipped.
export function wav(samples: Float32Array, rate: number): Blob {
  const bytes = new DataView(new ArrayBuffer(44 + 2 * samples.length));
  const tag = (at: number, name: string) =>
    [...name].forEach((c, i) => bytes.setUint8(at + i, c.charCodeAt(0)));
  tag(0, "RIFF");
  bytes.setUint32(4, 36 + 2 * samples.length, true);
  tag(8, "WAVEfmt ");
  bytes.setUint32(16, 16, true);
  bytes.setUint16(20, 1, true); // PCM
  bytes.setUint16(22, 1, true); // one channel
  bytes.setUint32(24, rate, true);
  bytes.setUint32(28, 2 * rate, true);
  bytes.setUint16(32, 2, true);
  bytes.setUint16(34, 16, true);
  tag(36, "data");
  bytes.setUint32(40, 2 * samples.length, true);
  samples.forEach((x, i) => {
    const bounded = Math.max(-1, Math.min(1, x));
    bytes.setInt16(44 + 2 * i, Math.round(bounded * 32767), true);
  });
  return new Blob([bytes.buffer], { type: "audio/wav" });
}

export function joined(blocks: readonly Float32Array[]): Float32Array {
  const whole = new Float32Array(blocks.reduce((sum, block) => sum + block.length, 0));
  let at = 0;
  for (const block of blocks) {
    whole.set(block, at);
    at += block.length;
  }
  return whole;
}
