/// Listening to a take: the recording, the model of the same bars, or both in turn.
import { address } from "../api/client";
import type { Hearing } from "../contracts/hearing";
import type { Timeline } from "../contracts/timeline";
import { Player } from "../player/player.svelte";
import { Playing } from "../player/playing.svelte";
import { Timing } from "../player/timing";

export type Voice = "take" | "model" | "both";
export interface Spot {
  from_s: number;
  to_s: number;
  /// First and last bar, as printed.
  bars: readonly string[];
}

/// Air before and after a spot, so that an attack and a release are heard whole (seconds, ours).
const air = 0.25;

export class Listening {
  readonly player = new Player();
  voice = $state<Voice>("take");
  readonly model: Playing;
  private readonly timing: Timing | undefined;
  private readonly url: string;
  private asked = 0;

  constructor(
    take: number,
    /// Whose model is played: "/pieces/3", or an item of the take.
    model: string,
    timeline: Timeline,
    private readonly hearing: Hearing | undefined,
  ) {
    this.url = address(`/takes/${take}/audio`);
    this.model = new Playing(model, timeline, null);
    this.timing = hearing && Timing.ofHearing(hearing, timeline);
  }

  get playing(): boolean {
    return this.player.playing || this.model.player.playing;
  }

  get place(): number | undefined {
    if (this.model.player.playing) return this.model.place;
    return this.player.playing ? this.timing?.quartersAt(this.player.at) : undefined;
  }

  async whole(): Promise<void> {
    if (this.playing) return this.stop();
    await this.player.play(this.url, this.player.at);
  }

  async from(seconds: number): Promise<void> {
    this.stop();
    await this.player.play(this.url, seconds);
  }

  /// Plays the recording from `from` to `to` seconds.
  async stretch(from: number, to: number): Promise<void> {
    this.stop();
    await this.player.play(this.url, from, to);
  }

  /// Plays a spot in the voice that is set.
  async spot(spot: Spot): Promise<void> {
    this.stop();
    const turn = ++this.asked;
    if (this.voice !== "model") {
      await this.player.play(this.url, Math.max(0, spot.from_s - air), spot.to_s + air);
    }
    if (this.voice !== "take" && turn === this.asked) await this.playModel(spot.bars);
  }

  setSpeed(speed: number): void {
    this.player.setSpeed(speed);
    this.model.player.setSpeed(speed);
  }

  stop(): void {
    ++this.asked;
    this.player.stop();
    this.model.player.stop();
  }

  private async playModel(bars: readonly string[]): Promise<void> {
    const [first, last] = [bars[0], bars[bars.length - 1]];
    if (!first || !last) return;
    await this.model.spot(first, last, this.hearing?.tempo.bpm ?? this.model.tempo);
  }
}
