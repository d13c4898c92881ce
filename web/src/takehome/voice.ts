/// The sound of one note at a time: from the bank's samples, held as long as needed, or made by an
/// oscillator where a browser cannot decode the bank.
import type { Bank, BankTone } from "../contracts/lesson";

export interface Tone {
  midi: number;
  plucked: boolean;
  /// Joined to the note before it in one stroke.
  slurred: boolean;
}

export interface Voice {
  /// Sounds from `at` (the context's clock) for `seconds`.
  play(tone: Tone, at: number, seconds: number): void;
  /// Ends everything that sounds or waits to.
  silence(): void;
}

/// Seconds; ours, so that no note begins or ends with a click.
const fadeIn = 0.012;
const fadeOut = 0.07;

interface Source {
  node: AudioScheduledSourceNode;
  start: (at: number) => void;
}

abstract class Sounding implements Voice {
  private readonly alive = new Set<AudioScheduledSourceNode>();

  constructor(protected readonly context: AudioContext) {}

  play(tone: Tone, at: number, seconds: number): void {
    const gain = this.context.createGain();
    const found = this.source(tone, gain);
    if (!found) return;
    const source = found.node;
    gain.connect(this.context.destination);
    gain.gain.setValueAtTime(0, at);
    gain.gain.linearRampToValueAtTime(this.level, at + fadeIn);
    const end = Math.max(at + fadeIn, at + seconds - fadeOut / 2);
    gain.gain.setValueAtTime(this.level, end);
    gain.gain.linearRampToValueAtTime(0, end + fadeOut);
    found.start(at);
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
  protected abstract source(tone: Tone, into: AudioNode): Source | undefined;
}

class Sampled extends Sounding {
  /// The bank's tones have an RMS of 0.1, −20 dBFS (ours: as loud as the click allows).
  protected readonly level = 2.2;

  constructor(
    context: AudioContext,
    private readonly file: AudioBuffer,
    private readonly tones: readonly BankTone[],
  ) {
    super(context);
  }

  protected source(event: Tone, into: AudioNode): Source | undefined {
    const kind = event.plucked ? "plucked" : "bowed";
    const tone = this.tones
      .filter((t) => t.technique === kind || !this.tones.some((other) => other.technique === kind))
      .sort((a, b) => Math.abs(a.midi - event.midi) - Math.abs(b.midi - event.midi))[0];
    if (!tone) return undefined;
    const node = this.context.createBufferSource();
    node.buffer = this.file;
    node.playbackRate.value = 2 ** ((event.midi - tone.midi) / 12);
    if (tone.loop_start_s !== null && tone.loop_end_s !== null) {
      node.loop = true;
      node.loopStart = tone.loop_start_s;
      node.loopEnd = tone.loop_end_s;
    }
    node.connect(into);
    const from = event.slurred ? tone.settled_s : tone.start_s;
    return { node, start: (at) => node.start(at, from) };
  }
}

class Oscillating extends Sounding {
  protected readonly level = 0.16;

  protected source(tone: Tone, into: AudioNode): Source {
    const hertz = 440 * 2 ** ((tone.midi - 69) / 12);
    const string = this.context.createOscillator();
    const body = this.context.createBiquadFilter();
    // A bowed string moves like a saw; its body lets little through above some 2.5 kHz.
    string.type = "sawtooth";
    string.frequency.value = hertz;
    body.type = "lowpass";
    body.frequency.value = Math.min(2500, 6 * hertz);
    string.connect(body).connect(into);
    return { node: string, start: (at) => string.start(at) };
  }
}

export async function openVoice(
  context: AudioContext,
  bank: Bank | null,
  sound: string | null,
): Promise<Voice> {
  if (!bank || !sound || bank.tones.length === 0) return new Oscillating(context);
  try {
    return new Sampled(context, await context.decodeAudioData(bytesOf(sound)), bank.tones);
  } catch {
    return new Oscillating(context);
  }
}

/// What a base64 data address holds. `fetch` would do it too, but not in a page opened as a file.
export function bytesOf(address: string): ArrayBuffer {
  const text = atob(address.slice(address.indexOf(",") + 1));
  const bytes = new Uint8Array(text.length);
  for (let i = 0; i < text.length; ++i) bytes[i] = text.charCodeAt(i);
  return bytes.buffer;
}
