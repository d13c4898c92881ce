/// One recording from the first look at the level to the kept take.
import source from "../recorder/capture.worklet.ts?source";
import { Microphone, type MicrophoneSettings } from "../recorder/microphone";
import { joined } from "../recorder/wav";
import type { Key } from "../words/words.svelte";
import type { Kept } from "./kept.svelte";
import type { KeptTake } from "./store";
import { keepAwake } from "./wake";

export type Facts = Pick<KeptTake, "item" | "tempo" | "bars">;

export interface Performance {
  facts: () => Facts;
  /// Begins to count in; gives the seconds until the part's first note is due.
  lead: (withModel: boolean) => Promise<number>;
  stop: () => void;
}

/// Peaks above this are cut off; below the other one a hearing has too little to go by (−40 dBFS).
const clipping = 0.98;
const quiet = 0.01;
/// Blocks of 50 ms to a piece: what a closed page loses at most is half a second.
const blocksToPiece = 10;

export class Recording {
  microphone = $state.raw<Microphone | undefined>();
  going = $state(false);
  headphones = $state(false);
  level = $state(0);
  seconds = $state(0);
  trouble = $state<Key | undefined>();
  settings = $state.raw<MicrophoneSettings | undefined>();
  private id = "";
  private began = 0;
  private pieces = 0;
  private startsAt = 0;
  private waiting: Int16Array[] = [];
  private release = () => {};

  constructor(
    private readonly kept: Kept,
    private readonly performance: Performance,
  ) {}

  get advice(): Key | undefined {
    if (this.level > clipping) return "record.tooLoud";
    return this.going && this.seconds > 4 && this.level < quiet ? "record.tooQuiet" : undefined;
  }

  /// Opens the microphone, so that the level shows before anything is recorded.
  async open(): Promise<void> {
    this.trouble = undefined;
    try {
      const worklet = `data:text/javascript,${encodeURIComponent(source)}`;
      this.microphone = await Microphone.open({
        worklet,
        level: (peak) => this.show(peak),
        block: (samples, rate) => void this.keep(samples, rate),
        lost: () => void this.lost(),
      });
      this.settings = this.microphone.settings();
    } catch (error) {
      const denied = error instanceof DOMException && error.name !== "NotFoundError";
      this.trouble = denied ? "home.denied" : "home.noMicrophone";
    }
  }

  async begin(): Promise<void> {
    if (!this.microphone) return;
    const now = Date.now();
    this.id = `${this.performance.facts().item} ${now}`;
    this.pieces = 0;
    this.waiting = [];
    this.seconds = 0;
    this.going = true;
    this.release = keepAwake();
    this.began = performance.now();
    this.microphone.start();
    const until = await this.performance.lead(this.headphones);
    this.startsAt = (performance.now() - this.began) / 1000 + until;
  }

  async finish(): Promise<void> {
    if (!this.microphone || !this.going) return;
    this.performance.stop();
    const sound = this.microphone.stop();
    this.going = false;
    this.release();
    const { headphones, startsAt } = this;
    await this.kept.add({
      ...this.performance.facts(),
      id: this.id,
      recorded_at: new Date().toISOString(),
      sound,
      type: "wav",
      name: `${this.id}.wav`,
      playback: { track: headphones ? "model" : "none", start_s: startsAt, rate: 1, headphones },
      microphone: this.microphone.settings(),
      hearing: null,
    });
    await this.kept.practised((performance.now() - this.began) / 1000);
    this.close();
  }

  /// A recording that the phone's own recorder made.
  async load(file: File): Promise<void> {
    const facts = this.performance.facts();
    await this.kept.add({
      ...facts,
      tempo: 0, // at which it was played, nobody has said
      id: `${facts.item} ${Date.now()}`,
      recorded_at: new Date(file.lastModified || Date.now()).toISOString(),
      sound: file,
      type: "file",
      name: file.name,
      playback: { track: "none", start_s: 0, rate: 1, headphones: false },
      microphone: null,
      hearing: null,
    });
  }

  close(): void {
    this.release();
    this.microphone?.close();
    this.microphone = undefined;
    this.going = false;
  }

  /// The microphone went away by itself: what it gave until then is a take like any other.
  private async lost(): Promise<void> {
    const any = this.going && this.microphone !== undefined && this.microphone.seconds > 0;
    if (any) await this.finish();
    else this.abandon();
    this.trouble = any ? "home.cutOff" : "home.gone";
  }

  private abandon(): void {
    if (this.going) this.performance.stop();
    this.close();
  }

  private show(peak: number): void {
    this.level = Math.max(peak, this.level * 0.8);
    if (this.going) this.seconds = (performance.now() - this.began) / 1000;
  }

  private async keep(samples: Int16Array, rate: number): Promise<void> {
    this.waiting.push(samples);
    if (this.waiting.length < blocksToPiece) return;
    const whole = joined(this.waiting.splice(0));
    await this.kept.keepPiece({ take: this.id, n: this.pieces++, rate, samples: whole });
  }
}
