/// Plays one sound file at a time and says where it is. A stretch may be played alone, and repeated;
/// half speed keeps the pitch.

export class Player {
  playing = $state(false);
  /// Seconds into the sound.
  at = $state(0);
  speed = $state(1);
  private readonly audio = new Audio();
  private stretch: { from: number; to: number } | undefined;
  private again = false;
  private frame = 0;
  private done: (() => void) | undefined;

  constructor() {
    this.audio.preservesPitch = true;
    this.audio.addEventListener("ended", () => this.stop());
    this.audio.addEventListener("error", () => this.stop());
  }

  get source(): string {
    return this.audio.src;
  }

  /// Plays `url` from `from` to `to` (seconds), or all of it. Resolves when it has ended or another
  /// sound was asked for; rejects if the browser cannot play it.
  async play(url: string, from = 0, to = Infinity, again = false): Promise<void> {
    this.finish();
    const whole = new URL(url, location.href).href;
    if (this.audio.src !== whole) this.audio.src = whole;
    this.stretch = { from, to };
    this.again = again;
    this.audio.loop = again && from === 0 && to === Infinity;
    this.audio.playbackRate = this.speed;
    const ended = new Promise<void>((resolve) => (this.done = resolve));
    if (from > 0 || this.audio.currentTime > 0) await this.seek(from);
    if (!(await this.start())) return;
    this.audio.playbackRate = this.speed;
    this.playing = true;
    this.watch();
    return ended;
  }

  pause(): void {
    this.audio.pause();
    this.playing = false;
    cancelAnimationFrame(this.frame);
  }

  async resume(): Promise<void> {
    if (!(await this.start())) return;
    this.playing = true;
    this.watch();
  }

  stop(): void {
    this.pause();
    this.at = 0;
    this.finish();
  }

  setSpeed(speed: number): void {
    this.speed = speed;
    this.audio.playbackRate = speed;
  }

  /// False: paused, or another sound asked for, before this one began. That is no fault.
  private async start(): Promise<boolean> {
    try {
      await this.audio.play();
      return true;
    } catch (error) {
      if (error instanceof DOMException && error.name === "AbortError") return false;
      throw error;
    }
  }

  private async seek(to: number): Promise<void> {
    if (this.audio.readyState < 1) {
      await new Promise<void>((resolve, reject) => {
        this.audio.addEventListener("loadedmetadata", () => resolve(), { once: true });
        this.audio.addEventListener("error", () => reject(new Error("sound")), { once: true });
        this.audio.load();
      });
    }
    this.audio.currentTime = to;
  }

  private watch(): void {
    cancelAnimationFrame(this.frame);
    this.at = this.audio.currentTime;
    if (this.stretch && this.at >= this.stretch.to) {
      if (!this.again) return this.stop();
      this.audio.currentTime = this.stretch.from;
    }
    this.frame = requestAnimationFrame(() => this.watch());
  }

  private finish(): void {
    this.done?.();
    this.done = undefined;
  }
}
