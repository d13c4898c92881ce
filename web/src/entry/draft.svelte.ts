/// The tune in hand: its text, what is chosen, every step back and forward. What is written goes to
/// the book a moment later, so that a crash costs no more than that.
import { change, read } from "../api/client";
import { explain } from "../app/desk.svelte";
import { draft, type Draft as KeptDraft } from "../contracts/desk";
import type { Edited } from "./edits";
import { readTune, soundsOf } from "./tune";

/// Milliseconds from a keystroke to the book (ours: well below the second that may be lost).
const patience = 300;
/// After what could not be written (no room on the disk, no desk), until it is tried again.
const again = 3000;
const mostSteps = 2000;

export class Draft {
  text = $state("");
  at = $state(-1);
  trouble = $state("");
  saved = $state(true);
  instrument = $state("cello");
  page = $state<string | null>(null);
  piece = $state<number | null>(null);
  readonly tune = $derived(readTune(this.text));
  readonly sounds = $derived(soundsOf(this.tune));
  private past = $state.raw<Edited[]>([]);
  private future = $state.raw<Edited[]>([]);
  private timer: ReturnType<typeof setTimeout> | undefined;
  private writing: Promise<void> = Promise.resolve();

  constructor(readonly id: number) {}

  get canUndo(): boolean {
    return this.past.length > 0;
  }
  get canRedo(): boolean {
    return this.future.length > 0;
  }

  async load(): Promise<void> {
    this.take(await read(draft, `/drafts/${this.id}`));
  }

  private take(kept: KeptDraft): void {
    ({ text: this.text, instrument: this.instrument, page: this.page, piece: this.piece } = kept);
    this.at = this.sounds.length - 1;
  }

  edit(next: Edited): void {
    if (next.text !== this.text) {
      this.past = [...this.past, { text: this.text, at: this.at }].slice(-mostSteps);
      this.future = [];
      this.text = next.text;
      this.later();
    }
    this.at = Math.max(-1, Math.min(next.at, this.sounds.length - 1));
  }

  undo(): void {
    const before = this.past[this.past.length - 1];
    if (!before) return;
    this.future = [...this.future, { text: this.text, at: this.at }];
    this.past = this.past.slice(0, -1);
    this.go(before);
  }

  redo(): void {
    const next = this.future[this.future.length - 1];
    if (!next) return;
    this.past = [...this.past, { text: this.text, at: this.at }];
    this.future = this.future.slice(0, -1);
    this.go(next);
  }

  private go(to: Edited): void {
    this.text = to.text;
    this.at = to.at;
    this.later();
  }

  /// The sound that the caret at `place` of the text stands in or behind.
  choose(place: number): void {
    let found = -1;
    for (const [i, sound] of this.sounds.entries()) if (sound.from < place) found = i;
    this.at = found;
  }

  setInstrument(instrument: string): void {
    this.instrument = instrument;
    this.later();
  }

  private later(): void {
    this.saved = false;
    clearTimeout(this.timer);
    this.timer = setTimeout(() => void this.flush(), patience);
  }

  /// No more is tried; what is written last is.
  close(): void {
    void this.flush().then(() => clearTimeout(this.timer));
  }

  /// Resolves when the text is on the disk, or `trouble` says why not.
  flush(): Promise<void> {
    clearTimeout(this.timer);
    if (this.saved) return this.writing;
    this.saved = true;
    const body = { text: this.text, instrument: this.instrument };
    this.writing = this.writing.then(async () => {
      try {
        await change("PATCH", draft, `/drafts/${this.id}`, body);
        this.trouble = "";
      } catch (error) {
        this.saved = false;
        this.trouble = explain(error);
        clearTimeout(this.timer);
        this.timer = setTimeout(() => void this.flush(), again);
      }
    });
    return this.writing;
  }
}
