/// The student's takes and minutes, as they stand in the phone's storage.
import type { TakeHome } from "../contracts/lesson";
import { wavOf } from "../recorder/wav";
import { dateOf } from "./dates";
import { openStore, type KeptTake, type Piece, type Store } from "./store";

export class Kept {
  takes = $state.raw<KeptTake[]>([]);
  minutes = $state.raw<{ day: string; seconds: number }[]>([]);
  ready = $state(false);
  /// Whether the browser keeps anything for this page at all.
  lasting = $state(true);
  /// Whether it has promised not to clear that by itself.
  promised = $state(false);
  /// True when the phone has no room left.
  full = $state(false);
  /// Takes that are in memory only, since there was no room.
  unkept = $state.raw<ReadonlySet<string>>(new Set());
  private store: Store | undefined;

  constructor(private readonly given: TakeHome) {}

  async open(): Promise<void> {
    const name = `endpin ${this.given.lesson_id ?? this.given.piece_sha256} ${this.given.lesson.date}`;
    this.store = await openStore(name);
    this.lasting = this.store.lasting;
    this.promised = (await navigator.storage?.persisted?.().catch(() => false)) ?? false;
    const adrift = await this.recover();
    this.takes = [...(await this.store.all("takes")), ...adrift];
    this.unkept = new Set(adrift.map((t) => t.id));
    this.minutes = await this.store.all("minutes");
    this.ready = true;
  }

  /// False where there is no room: then the take is there until the page is closed.
  async add(take: KeptTake): Promise<boolean> {
    const done = await this.attempt(() => this.store?.settle(take));
    const unkept = new Set(this.unkept);
    if (done) unkept.delete(take.id);
    else unkept.add(take.id);
    this.unkept = unkept;
    this.takes = [take, ...this.takes.filter((t) => t.id !== take.id)];
    void this.askToKeep();
    return done;
  }

  async remove(take: KeptTake): Promise<void> {
    await this.store?.remove("takes", take.id);
    await this.forgetPieces(take.id);
    this.takes = this.takes.filter((t) => t.id !== take.id);
    this.unkept = new Set([...this.unkept].filter((id) => id !== take.id));
    this.full = false;
  }

  /// Half a second of a recording that is going on: what is kept here survives a reload.
  async keepPiece(piece: Piece): Promise<void> {
    const key = `${piece.take} ${String(piece.n).padStart(6, "0")}`;
    await this.attempt(() => this.store?.put("pieces", { key, ...piece }));
  }

  async practised(seconds: number): Promise<void> {
    const today = dateOf(new Date());
    const before = this.minutes.find((m) => m.day === today)?.seconds ?? 0;
    const row = { day: today, seconds: before + seconds };
    this.minutes = [...this.minutes.filter((m) => m.day !== today), row];
    await this.attempt(() => this.store?.put("minutes", row));
  }

  /// A recording that was going on when the page was closed becomes a take. Gives those for which
  /// there is no room; their pieces stay.
  private async recover(): Promise<KeptTake[]> {
    const pieces = (await this.store?.all("pieces")) ?? [];
    const adrift: KeptTake[] = [];
    for (const id of new Set(pieces.map((p) => p.take))) {
      const own = pieces.filter((p) => p.take === id).sort((a, b) => a.n - b.n);
      const take = recovered(id, own);
      if (!(await this.attempt(() => this.store?.settle(take)))) adrift.push(take);
    }
    return adrift;
  }

  /// A browser that is asked may promise not to clear the page's storage by itself.
  private async askToKeep(): Promise<void> {
    this.promised = (await navigator.storage?.persist?.().catch(() => false)) ?? false;
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

/// An id is the item's key and the time in milliseconds at which it began.
function recovered(id: string, pieces: readonly Piece[]): KeptTake {
  const [item = "piece", began = ""] = id.split(" ");
  return {
    id,
    item,
    recorded_at: new Date(Number(began) || Date.now()).toISOString(),
    sound: wavOf(pieces.map((p) => p.samples), pieces[0]?.rate ?? 48000),
    type: "wav",
    name: `${id}.wav`,
    tempo: 0,
    bars: null,
    playback: { track: "none", start_s: 0, rate: 1, headphones: false },
    microphone: null,
    hearing: null,
  };
}
