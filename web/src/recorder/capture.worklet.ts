/// Runs in the audio thread: hands every block of the microphone's first channel to the page.

declare const registerProcessor: (name: string, processor: unknown) => void;
declare class AudioWorkletProcessor {
  readonly port: MessagePort;
}

/// About 50 ms at 48 kHz: few messages, and a level meter that still moves with the bow.
const batch = 2400;

class Capture extends AudioWorkletProcessor {
  private block = new Float32Array(batch);
  private filled = 0;

  process(inputs: Float32Array[][]): boolean {
    const channel = inputs[0]?.[0];
    for (let i = 0; channel && i < channel.length; ++i) {
      this.block[this.filled++] = channel[i] ?? 0;
      if (this.filled === batch) {
        this.port.postMessage(this.block);
        this.block = new Float32Array(batch);
        this.filled = 0;
      }
    }
    return true;
  }
}

registerProcessor("capture", Capture);
