/// Plays a plan on the audio clock: events are handed over a little ahead of their time, so that no
/// timer's lateness is heard.
import type { Plan, Sounding } from "./plan";
import type { Voice } from "./voice";

/// Seconds that are handed over ahead, and how often (ours: three times what a hidden page may lag).
const ahead = 0.3;
const everyMs = 80;
const clickHertz = { strong: 1760, weak: 1180 };

export class Sequencer {
  playing = $state(false);
  /// Played quarters; nothing while nothing plays.
  place = $state<number | undefined>();
  /// Beats until the part begins, while it is counted in.
  counting = $state(0);
  private timer = 0;
  private frame = 0;
  private next = 0;
  private round = 0;
  private began = 0;
  private plan: Plan | undefined;
  private again = false;
  private ended: (() => void) | undefined;

  constructor(
    private readonly context: AudioContext,
    private readonly voice: Voice,
  ) {}

  /// The context's second at which the part's first note is due.
  get startsAt(): number {
    return this.began;
  }

  /// Plays `plan`, over and over where `again`. Resolves when it ends or is stopped.
  async play(plan: Plan, again: boolean): Promise<void> {
    this.stop();
    await this.context.resume();
    this.plan = plan;
    this.again = again;
    this.next = 0;
    this.round = 0;
    this.began = this.context.currentTime + 0.12 + plan.before * plan.secondsPerQuarter;
    this.playing = true;
    this.timer = window.setInterval(() => this.hand(), everyMs);
    this.hand();
    this.watch();
    return new Promise((resolve) => (this.ended = resolve));
  }

  stop(): void {
    clearInterval(this.timer);
    cancelAnimationFrame(this.frame);
    this.voice.silence();
    this.playing = false;
    this.place = undefined;
    this.counting = 0;
    this.plan = undefined;
    this.ended?.();
    this.ended = undefined;
  }

  private length(plan: Plan): number {
    return (plan.to - plan.from) * plan.secondsPerQuarter;
  }

  private hand(): void {
    const plan = this.plan;
    if (!plan) return;
    const horizon = this.context.currentTime + ahead;
    for (;;) {
      const event = plan.events[this.next];
      if (!event) {
        if (!this.again || plan.events.length === 0) break;
        ++this.round;
        this.next = plan.events.findIndex((e) => e.at >= -1e-9);
        if (this.next < 0) break;
        continue;
      }
      const at = this.began + this.round * this.length(plan) + event.at * plan.secondsPerQuarter;
      if (at > horizon) break;
      this.sound(event, Math.max(at, this.context.currentTime), plan.secondsPerQuarter);
      ++this.next;
    }
  }

  private sound(event: Sounding, at: number, secondsPerQuarter: number): void {
    if (event.kind === "note") {
      this.voice.play(event, at, event.length * secondsPerQuarter);
      return;
    }
    const tick = this.context.createOscillator();
    const gain = this.context.createGain();
    tick.frequency.value = event.strong ? clickHertz.strong : clickHertz.weak;
    gain.gain.setValueAtTime(event.strong ? 0.5 : 0.32, at);
    gain.gain.exponentialRampToValueAtTime(0.001, at + 0.05);
    tick.connect(gain).connect(this.context.destination);
    tick.start(at);
    tick.stop(at + 0.06);
  }

  private watch(): void {
    const plan = this.plan;
    if (!plan) return;
    const lag = this.context.outputLatency || 0;
    const q = (this.context.currentTime - lag - this.began) / plan.secondsPerQuarter;
    const length = plan.to - plan.from;
    if (q >= length && !this.again) return this.stop();
    this.counting = q < 0 ? Math.ceil(-q) : 0;
    this.place = q < 0 ? undefined : plan.from + (length > 0 ? q % length : 0);
    this.frame = requestAnimationFrame(() => this.watch());
  }
}
