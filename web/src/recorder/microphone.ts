/// Records the microphone as it is: nothing that a telephone does to a voice. What the browser
/// really granted is read back, since some ignore what they are asked.
import captureUrl from "./capture.worklet.ts?worker&url";
import { joined, wav } from "./wav";

export interface MicrophoneSettings {
  sample_rate_hz: number;
  echo_cancellation: boolean | null;
  noise_suppression: boolean | null;
  auto_gain_control: boolean | null;
}

export class Microphone {
  private blocks: Float32Array[] = [];
  private keeping = false;

  private constructor(
    private readonly context: AudioContext,
    private readonly stream: MediaStream,
    node: AudioWorkletNode,
    level: (peak: number) => void,
  ) {
    node.port.onmessage = (event: MessageEvent<Float32Array>) => {
      if (this.keeping) this.blocks.push(event.data);
      level(event.data.reduce((peak, x) => Math.max(peak, Math.abs(x)), 0));
    };
  }

  /// Opens the microphone; `level` hears of the peak (0…1) about twenty times a second. Throws what
  /// the browser throws: NotAllowedError, NotFoundError.
  static async open(level: (peak: number) => void): Promise<Microphone> {
    const stream = await navigator.mediaDevices.getUserMedia({
      audio: { echoCancellation: false, noiseSuppression: false, autoGainControl: false },
    });
    const context = new AudioContext();
    try {
      await context.audioWorklet.addModule(captureUrl);
      const node = new AudioWorkletNode(context, "capture", { numberOfOutputs: 0 });
      context.createMediaStreamSource(stream).connect(node);
      await context.resume();
      return new Microphone(context, stream, node, level);
    } catch (error) {
      stream.getTracks().forEach((track) => track.stop());
      void context.close();
      throw error;
    }
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
    return wav(joined(this.blocks), this.context.sampleRate);
  }

  close(): void {
    this.keeping = false;
    this.stream.getTracks().forEach((track) => track.stop());
    void this.context.close();
  }
}
