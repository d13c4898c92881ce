/// The sound of one note at a time: from the bank's samples, held as long as needed, or made by an
/// oscillator where a browser cannot decode the bank.
import type { Bank } from "../contracts/lesson";

export interface Voice {
  /// Sounds from `at` (the context's clock) for `seconds`.
  play(midi: number, at: number, seconds: number, plucked: boolean): void;
  /// Ends everything that sounds or waits to.
  silence(): void;
}

/// Seconds; ours, so that no note begins or ends with a click.
const fadeIn = 0.012;
const fadeOut = 0.07;
/// The loop of a held note begins after the attack has settled and is joined over this long.
const settled = 0.7;
const joint = 0.12;

abstract class Sounding implements Voice {
  private readonly alive = new Set<AudioScheduledSourceNode>();

  constructor(protected readonly context: AudioContext) {}

  play(midi: number, at: number, seconds: number, plucked: boolean): void {
    const gain = this.context.createGain();
    const source = this.source(midi, gain, plucked);
    if (!source) return;
    gain.connect(this.context.destination);
    gain.gain.setValueAtTime(0, at);
    gain.gain.linearRampToValueAtTime(this.level, at + fadeIn);
    const end = Math.max(at + fadeIn, at + seconds - fadeOut / 2);
    gain.gain.setValueAtTime(this.level, end);
    gain.gain.linearRampToValueAtTime(0, end + fadeOut);
    source.start(at);
    source.stop(end + fadeOut);
    this.alive.add(source);
    source.onended = () => {
      this.alive.delete(source);
      gain.disconnect();
    };
  }

  silence(): void {
    for (const source of this.alive) source.stop();
  }

  protected abstract readonly level: number;
  protected abstract source(
    midi: number,
    into: AudioNode,
    plucked: boolean,
  ): AudioScheduledSourceNode | undefined;
}

class Sampled extends Sounding {
  protected readonly level = 0.9;

  constructor(
    context: AudioContext,
    private readonly notes: ReadonlyMap<number, AudioBuffer>,
  ) {
    super(context);
  }

  protected source(midi: number, into: AudioNode): AudioScheduledSourceNode | undefined {
    const near = [...this.notes.keys()].sort((a, b) => Math.abs(a - midi) - Math.abs(b - midi))[0];
    const buffer = near === undefined ? undefined : this.notes.get(near);
    if (!buffer || near === undefined) return undefined;
    const source = this.context.createBufferSource();
    source.buffer = buffer;
    source.playbackRate.value = 2 ** ((midi - near) / 12);
    source.loop = true;
    source.loopStart = settled;
    source.loopEnd = buffer.duration;
    source.connect(into);
    return source;
  }
}

class Oscillating extends Sounding {
  protected readonly level = 0.16;

  protected source(midi: number, into: AudioNode): AudioScheduledSourceNode {
    const hertz = 440 * 2 ** ((midi - 69) / 12);
    const string = this.context.createOscillator();
    const body = this.context.createBiquadFilter();
    // A bowed string moves like a saw; its body lets little through above some 2.5 kHz.
    string.type = "sawtooth";
    string.frequency.value = hertz;
    body.type = "lowpass";
    body.frequency.value = Math.min(2500, 6 * hertz);
    string.connect(body).connect(into);
    return string;
  }
}

export async function openVoice(context: AudioContext, bank: Bank | null): Promise<Voice> {
  if (!bank) return new Oscillating(context);
  try {
    const file = await context.decodeAudioData(bytesOf(bank.sound));
    const notes = Object.entries(bank.notes).map(([midi, place]) => {
      return [Number(midi), held(context, file, place.from_s, place.seconds)] as const;
    });
    return notes.length > 0 ? new Sampled(context, new Map(notes)) : new Oscillating(context);
  } catch {
    return new Oscillating(context);
  }
}

/// One note of the bank, its end blended into what comes before the loop, so that it can be repeated
/// without a seam.
function held(context: AudioContext, file: AudioBuffer, from: number, seconds: number): AudioBuffer {
  const rate = file.sampleRate;
  const first = Math.round(from * rate);
  const length = Math.min(Math.round(seconds * rate), file.length - first);
  const note = context.createBuffer(1, length, rate);
  const samples = note.getChannelData(0);
  samples.set(file.getChannelData(0).subarray(first, first + length));
  const blend = Math.round(joint * rate);
  const start = Math.round(settled * rate);
  if (length > start + 2 * blend && start > blend) {
    for (let i = 0; i < blend; ++i) {
      const t = (i * Math.PI) / (2 * blend);
      const at = length - blend + i;
      samples[at] = (samples[at] ?? 0) * Math.cos(t) + (samples[start - blend + i] ?? 0) * Math.sin(t);
    }
  }
  return note;
}

/// What a base64 data address holds. `fetch` would do it too, but not in a page opened as a file.
export function bytesOf(address: string): ArrayBuffer {
  const text = atob(address.slice(address.indexOf(",") + 1));
  const bytes = new Uint8Array(text.length);
  for (let i = 0; i < text.length; ++i) bytes[i] = text.charCodeAt(i);
  return bytes.buffer;
}
