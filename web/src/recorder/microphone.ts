/// Records the microphone as it is: nothing that a telephone does to a voice. What the browser
/// really granted is read back, since some ignore what they are asked.
import { sixteenBit, wavOf } from "./wav";

export interface MicrophoneSettings {
  sample_rate_hz: number;
  echo_cancellation: boolean | null;
  noise_suppression: boolean | null;
  auto_gain_control: boolean | null;
}

export interface Listening {
  /// Address of the compiled capture.worklet.ts.
  worklet: string;
  /// The peak (0…1) about twenty times a second.
  level: (peak: number) => void;
  /// Every block while it records, 16 bit; it may be kept.
  block?: (samples: Int16Array, rate: number) => void;
  /// Every block as it comes, ±1.
  sound?: (samples: Float32Array, rate: number) => void;
  /// Called once if the microphone goes away by itself: pulled out, taken back, or taken by a call.
  lost: () => void;
}

/// A silence of the system's own that is shorter than this is one, and not the end (ours: a wireless
/// headset that changes its channel is back sooner, a call lasts longer).
const longestGap = 1000;

export class Microphone {
  private blocks: Int16Array[] = [];
  private keeping = false;
  private gap: ReturnType<typeof setTimeout> | undefined;

  private constructor(
    private readonly context: AudioContext,
    private readonly stream: MediaStream,
    node: AudioWorkletNode,
    private readonly heard: Listening,
  ) {
    this.watch();
    node.port.onmessage = (event: MessageEvent<Float32Array>) => {
      if (this.keeping) {
        const block = sixteenBit(event.data);
        this.blocks.push(block);
        heard.block?.(block, this.context.sampleRate);
      }
      heard.sound?.(event.data, this.context.sampleRate);
      heard.level(event.data.reduce((peak, x) => Math.max(peak, Math.abs(x)), 0));
    };
  }

  /// Opens the microphone. Throws what the browser throws: NotAllowedError, NotFoundError.
  static async open(heard: Listening): Promise<Microphone> {
    if (!navigator.mediaDevices) throw new DOMException("no microphone here", "NotAllowedError");
    const stream = await navigator.mediaDevices.getUserMedia({
      audio: { echoCancellation: false, noiseSuppression: false, autoGainControl: false },
    });
    const context = new AudioContext();
    try {
      await context.audioWorklet.addModule(heard.worklet);
      const node = new AudioWorkletNode(context, "capture", { numberOfOutputs: 0 });
      context.createMediaStreamSource(stream).connect(node);
      await context.resume();
      return new Microphone(context, stream, node, heard);
    } catch (error) {
      stream.getTracks().forEach((track) => track.stop());
      void context.close();
      throw error;
    }
  }

  /// How long it has been recording, as far as sound came.
  get seconds(): number {
    return this.blocks.reduce((sum, block) => sum + block.length, 0) / this.context.sampleRate;
  }

  settings(): MicrophoneSettings {
    const s = this.stream.getAudioTracks()[0]?.getSettings() ?? {};
    return {
      sample_rate_hz: this.context.sampleRate,
      echo_cancellation: typeof s.echoCancellation === "boolean" ? s.echoCancellation : null,
      noise_suppression: s.noiseSuppression ?? null,
      auto_gain_control: s.autoGainControl ?? null,
    };
  }

  start(): void {
    this.blocks = [];
    this.keeping = true;
  }

  /// What was recorded since `start`, as a WAV file.
  stop(): Blob {
    this.keeping = false;
    return wavOf(this.blocks, this.context.sampleRate);
  }

  close(): void {
    this.keeping = false;
    this.unwatch();
    this.stream.getTracks().forEach((track) => track.stop());
    void this.context.close();
  }

  /// A track that ends is gone; one that is muted, or a context that is interrupted, may come back.
  private watch(): void {
    const track = this.stream.getAudioTracks()[0];
    if (track) {
      track.onended = () => this.lose();
      track.onmute = () => this.pause();
      track.onunmute = () => this.goOn();
    }
    this.context.onstatechange = () => (this.context.state === "running" ? this.goOn() : this.pause());
  }

  private unwatch(): void {
    this.goOn();
    const track = this.stream.getAudioTracks()[0];
    if (track) track.onended = track.onmute = track.onunmute = null;
    this.context.onstatechange = null;
  }

  private pause(): void {
    this.gap ??= setTimeout(() => this.lose(), longestGap);
  }

  private goOn(): void {
    clearTimeout(this.gap);
    this.gap = undefined;
  }

  private lose(): void {
    this.unwatch();
    this.heard.lost();
  }
}
