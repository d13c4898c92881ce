/// A mono sound as a WAV file, 16 bit. `samples` from −1 to 1; beyond that they are clipped.
export function wav(samples: Float32Array, rate: number): Blob {
  return wavOf([sixteenBit(samples)], rate);
}

export function sixteenBit(samples: Float32Array): Int16Array<ArrayBuffer> {
  return Int16Array.from(samples, (x) => Math.round(Math.max(-1, Math.min(1, x)) * 32767));
}

/// The same of blocks that follow each other.
export function wavOf(blocks: readonly Int16Array[], rate: number): Blob {
  const bytes = 2 * blocks.reduce((sum, block) => sum + block.length, 0);
  const head = new DataView(new ArrayBuffer(44));
  const tag = (at: number, name: string) =>
    [...name].forEach((c, i) => head.setUint8(at + i, c.charCodeAt(0)));
  tag(0, "RIFF");
  head.setUint32(4, 36 + bytes, true);
  tag(8, "WAVEfmt ");
  head.setUint32(16, 16, true);
  head.setUint16(20, 1, true); // PCM
  head.setUint16(22, 1, true); // one channel
  head.setUint32(24, rate, true);
  head.setUint32(28, 2 * rate, true);
  head.setUint16(32, 2, true);
  head.setUint16(34, 16, true);
  tag(36, "data");
  head.setUint32(40, bytes, true);
  return new Blob([head.buffer, ...blocks.map(littleEndian)], { type: "audio/wav" });
}

/// Every phone and computer that runs a browser keeps the low byte first, as WAV does.
function littleEndian(block: Int16Array): BlobPart {
  return block as Int16Array<ArrayBuffer>;
}

export function joined(blocks: readonly Int16Array[]): Int16Array {
  const whole = new Int16Array(blocks.reduce((sum, block) => sum + block.length, 0));
  let at = 0;
  for (const block of blocks) {
    whole.set(block, at);
    at += block.length;
  }
  return whole;
}
