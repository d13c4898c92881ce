/// At what rate a recording was made, read from its first bytes. A browser decodes to the rate that
/// it is asked for; only at the recording's own is nothing resampled, and the page's hearing stands on
/// the same samples as the program's.

/// What most phones use, and Opus always (RFC 6716, section 2).
const usual = 48000;
/// What every browser can be asked for (Web Audio API, section 1.9).
const lowest = 8000;
const highest = 96000;

/// Samples a second of a WAV, FLAC, MP3 or MP4 file; of anything else (Opus in Ogg or WebM) 48,000.
export function soundRate(bytes: Uint8Array): number {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const found = wavRate(view) ?? flacRate(view) ?? mp4Rate(view) ?? mp3Rate(view) ?? usual;
  return found >= lowest && found <= highest ? found : usual;
}

function tag(view: DataView, at: number): string {
  if (at < 0 || at + 4 > view.byteLength) return "";
  return String.fromCharCode(...[0, 1, 2, 3].map((i) => view.getUint8(at + i)));
}

/// RIFF: chunks of a name, a length and as many bytes, padded to even.
function wavRate(view: DataView): number | undefined {
  if (tag(view, 0) !== "RIFF" || tag(view, 8) !== "WAVE") return undefined;
  for (let at = 12; at + 16 <= view.byteLength; ) {
    if (tag(view, at) === "fmt ") return view.getUint32(at + 12, true);
    at += 8 + view.getUint32(at + 4, true) + (view.getUint32(at + 4, true) & 1);
  }
  return undefined;
}

/// RFC 9639, section 8.2: 20 bits of the stream's first block.
function flacRate(view: DataView): number | undefined {
  if (tag(view, 0) !== "fLaC" || view.byteLength < 22) return undefined;
  return view.getUint32(18) >>> 12;
}

/// The audio sample entry `mp4a` holds its rate as 16.16 (ISO/IEC 14496-12, section 12.2.3).
function mp4Rate(view: DataView): number | undefined {
  if (tag(view, 4) !== "ftyp") return undefined;
  for (let at = 8; at + 32 <= view.byteLength; ++at) {
    if (view.getUint8(at) === 0x6d && tag(view, at) === "mp4a") {
      const rate = view.getUint16(at + 28);
      if (rate > 0) return rate;
    }
  }
  return undefined;
}

/// The first frame's header after an ID3 tag (ISO/IEC 11172-3, section 2.4.2.3).
function mp3Rate(view: DataView): number | undefined {
  let at = 0;
  if (tag(view, 0).startsWith("ID3") && view.byteLength > 10) {
    const size = [6, 7, 8, 9].reduce((sum, i) => (sum << 7) | (view.getUint8(i) & 0x7f), 0);
    at = 10 + size;
  }
  if (at + 4 > view.byteLength) return undefined;
  const head = view.getUint32(at);
  const layer = (head >>> 17) & 3;
  if (head >>> 21 !== 0x7ff || layer === 0) return undefined;
  const rate = [44100, 48000, 32000][(head >>> 10) & 3];
  const version = (head >>> 19) & 3;
  return rate && rate / (version === 3 ? 1 : version === 2 ? 2 : 4);
}
