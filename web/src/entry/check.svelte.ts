/// Which notes of the tune in hand its player's step does not have, as the book's server sees it.
import { read } from "../api/client";
import { desk } from "../app/desk.svelte";
import { flag, list, object, text, whole } from "../contracts/shape";
import type { Draft } from "./draft.svelte";

const answer = object({
  notes: whole,
  out: list(object({ note: whole, spelled: text, anywhere: flag })),
  steps: list(text),
});

/// A note that lies out of the hand: which sound, in which bar (from 1), and whether any step has it.
export interface OutOfHand {
  index: number;
  bar: number;
  anywhere: boolean;
}

/// Milliseconds after the last change (ours: a pause in typing, no more).
const patience = 500;

export class Check {
  step = $state("first-position");
  steps = $state.raw<readonly string[]>([]);
  out = $state.raw<readonly OutOfHand[]>([]);
  private timer: ReturnType<typeof setTimeout> | undefined;
  private asked = 0;

  constructor(private readonly draft: Draft) {}

  later(): void {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => void this.ask(), patience);
  }

  stop(): void {
    clearTimeout(this.timer);
    ++this.asked;
  }

  private async ask(): Promise<void> {
    const mine = ++this.asked;
    await desk.attempt(async () => {
      await this.draft.flush();
      const found = await read(answer, `/drafts/${this.draft.id}/check`, { step: this.step });
      if (mine !== this.asked) return;
      this.steps = found.steps;
      if (!found.steps.includes(this.step)) this.step = "first-position";
      this.out = this.placed(found.out, found.notes);
    });
  }

  /// Where both read the same notes; a tune that is half typed waits for its next stroke.
  private placed(out: readonly { note: number; anywhere: boolean }[], notes: number): OutOfHand[] {
    const sounds = this.draft.sounds.map((sound, index) => ({ sound, index })).filter((s) => s.sound.kind === "note");
    if (sounds.length !== notes) return [];
    return out.flatMap(({ note, anywhere }) => {
      const at = sounds[note];
      if (!at) return [];
      const bar = this.draft.tune.bars.findIndex((b) => b.sounds.includes(at.sound)) + 1;
      return [{ index: at.index, bar, anywhere }];
    });
  }
}
