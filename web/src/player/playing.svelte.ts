/// The model's sound of a piece as the transport sets it: tempo, click, count-in, loop. Asks the
/// server for the sound and for the time of every note in it.
import { address, read, Refusal } from "../api/client";
import { sound, type Sound } from "../contracts/desk";
import type { Timeline } from "../contracts/timeline";
import { quarters } from "../contracts/timeline";
import { say } from "../words/words.svelte";
import { Player } from "./player.svelte";
import { Timing } from "./timing";

export interface Loop {
  from: string;
  to: string;
}

/// Beats a minute where a score names no tempo (ours: a comfortable walking beat).
const usualTempo = 72;

export class Playing {
  readonly player = new Player();
  tempo = $state(usualTempo);
  click = $state(false);
  countIn = $state(true);
  loop = $state<Loop | undefined>();
  waiting = $state(false);
  trouble = $state("");
  readonly beat: string;
  private timing = $state.raw<Timing | undefined>();
  private loaded: { key: string; sound: Sound } | undefined;

  constructor(
    /// Whose sound it is: "/pieces/3", or an item of a take.
    private readonly source: string,
    private readonly timeline: Timeline,
    tempo: number | null,
  ) {
    const unit = quarters(timeline.beat_unit_quarters);
    this.beat = { 0.5: "♪", 1: "♩", 1.5: "♩.", 2: "𝅗𝅥" }[unit] ?? "♩";
    const given = (timeline.tempo[0]?.quarter_bpm ?? usualTempo) / unit;
    this.tempo = Math.round(tempo ?? (timeline.tempo_is_given ? given : usualTempo));
  }

  /// Played quarters at this moment, for the mark under the staff.
  get place(): number | undefined {
    return this.player.playing ? this.timing?.quartersAt(this.player.at) : undefined;
  }

  async toggle(): Promise<void> {
    if (this.player.playing) this.player.stop();
    else await this.start();
  }

  /// Plays from bar `bar` to the end.
  async startFrom(bar: string): Promise<void> {
    const last = this.timeline.bars[this.timeline.bars.length - 1]?.bar ?? bar;
    this.loop = undefined;
    await this.start(bar === last ? bar : `${bar}-${last}`);
  }

  async start(bars?: string): Promise<void> {
    this.waiting = true;
    this.trouble = "";
    try {
      const query = { ...this.query(), ...(bars ? { bars } : {}) };
      await this.load(query);
      const ended = this.player.play(address(`${this.source}/sound.wav`, query), 0, Infinity, this.loop !== undefined);
      this.waiting = false;
      await ended;
    } catch (error) {
      this.trouble = error instanceof Refusal ? error.message : say("play.cannot");
    } finally {
      this.waiting = false;
    }
  }

  /// Plays bars `from` to `to` once at the tempo `bpm` (or the one set), without count-in.
  async spot(from: string, to: string, bpm = this.tempo): Promise<void> {
    this.trouble = "";
    const query = { tempo: Math.round(bpm), bars: from === to ? from : `${from}-${to}` };
    try {
      await this.load(query);
      await this.player.play(address(`${this.source}/sound.wav`, query));
    } catch (error) {
      this.trouble = error instanceof Refusal ? error.message : say("play.cannot");
    }
  }

  set(change: Partial<Pick<Playing, "click" | "countIn" | "loop">>): void {
    if ("loop" in change) this.loop = change.loop;
    this.click = change.click ?? this.click;
    this.countIn = change.countIn ?? this.countIn;
    this.renew();
  }

  setLoop(bars: readonly string[], from = bars[0] ?? "1", to = from): void {
    const back = bars.indexOf(to) < bars.indexOf(from);
    this.set({ loop: back ? { from, to: from } : { from, to } });
  }

  proposedLoop(bars: readonly string[]): Loop {
    const first = bars[0] ?? "1";
    return { from: first, to: bars[Math.min(3, bars.length - 1)] ?? first };
  }

  /// Starts anew with what has changed, if it is playing.
  renew(): void {
    if (this.player.playing) void this.start();
  }

  private query() {
    return {
      tempo: this.tempo,
      bars: this.loop ? (this.loop.from === this.loop.to ? this.loop.from : `${this.loop.from}-${this.loop.to}`) : undefined,
      click: this.click || undefined,
      count_in: this.countIn ? 1 : undefined,
    };
  }

  private async load(query: Record<string, string | number | boolean | undefined>): Promise<void> {
    const key = JSON.stringify(query);
    if (this.loaded?.key !== key) {
      this.loaded = { key, sound: await read(sound, `${this.source}/sound.json`, query) };
    }
    this.timing = Timing.ofSound(this.loaded.sound, this.timeline);
  }
}
