/// The student's takes and minutes, as they stand in the phone's storage.
import type { TakeHome } from "../contracts/lesson";
import { joined, wav } from "../recorder/wav";
import { openStore, type KeptTake, type Store } from "./store";

export class Kept {
  takes = $state.raw<KeptTake[]>([]);
  minutes = $state.raw<{ day: string; seconds: number }[]>([]);
  ready = $state(false);
  lasting = $state(true);
  /// True when the phone has no room left.
  full = $state(false);
  private store: Store | undefined;

  constructor(private readonly given: TakeHome) {}

  async open(): Promise<void> {
    const name = `endpin ${this.given.lesson_id ?? this.given.piece_sha256} ${this.given.lesson.date}`;
    this.store = await openStore(name);
    this.lasting = this.store.lasting;
    await this.recover();
    this.takes = await this.store.all("takes");
    this.minutes = await this.store.all("minutes");
    this.ready = true;
  }

  async add(take: KeptTake): Promise<boolean> {
    const done = await this.attempt(() => this.store?.put("takes", take));
    await this.forgetPieces(take.id);
    this.takes = [take, ...this.takes.filter((t) => t.id !== take.id)];
    // A browser that is asked may promise not to clear the page's storage by itself.
    void navigator.storage?.persist?.().catch(() => false);
    return done;
  }

  async remove(take: KeptTake): Promise<void> {
    await this.store?.remove("takes", take.id);
    this.takes = this.takes.filter((t) => t.id !== take.id);
    this.full = false;
  }

  /// Half a second of a recording that is going on: what is kept here survives a reload.
  async keepPiece(take: string, n: number, rate: number, samples: Float32Array): Promise<void> {
    const key = `${take} ${String(n).padStart(6, "0")}`;
    await this.attempt(() => this.store?.put("pieces", { key, take, n, rate, samples }));
  }

  async practised(seconds: number): Promise<void> {
    const today = new Date().toISOString().slice(0, 10);
    const before = this.minutes.find((m) => m.day === today)?.seconds ?? 0;
    const row = { day: today, seconds: before + seconds };
    this.minutes = [...this.minutes.filter((m) => m.day !== today), row];
    await this.attempt(() => this.store?.put("minutes", row));
  }

  /// A recording that was going on when the page was closed becomes a take.
  private async recover(): Promise<void> {
    const pieces = (await this.store?.all("pieces")) ?? [];
    for (const id of new Set(pieces.map((p) => p.take))) {
      const own = pieces.filter((p) => p.take === id).sort((a, b) => a.n - b.n);
      const rate = own[0]?.rate ?? 48000;
      await this.store?.put("takes", {
        id,
        item: id.split(" ")[0] ?? "piece",
        recorded_at: new Date().toISOString(),
        sound: wav(joined(own.map((p) => p.samples)), rate),
        type: "wav",
        name: `${id}.wav`,
        tempo: 0,
        bars: null,
        playback: { track: "none", start_s: 0, rate: 1, headphones: false },
        microphone: null,
        hearing: null,
      });
      await this.forgetPieces(id);
    }
  }

  private async forgetPieces(take: string): Promise<void> {
    const pieces = (await this.store?.all("pieces")) ?? [];
    for (const piece of pieces.filter((p) => p.take === take)) {
      await this.store?.remove("pieces", piece.key);
    }
  }

  private async attempt(work: () => Promise<void> | undefined): Promise<boolean> {
    try {
      await work();
      return true;
    } catch {
      this.full = true;
      return false;
    }
  }
}
