/// A written note in words.
import type { MendBar, MendNote } from "../contracts/desk";
import { quarters } from "../contracts/timeline";
import { pitchName } from "../words/pitch";
import { figure, say, term } from "../words/words.svelte";

export function writtenName(note: Pick<MendNote, "rest" | "pitch" | "value" | "dots">): string {
  const plain = term("value", note.value);
  const value = note.dots > 0 ? say("entry.dotted", { value: plain }) : plain;
  return `${note.rest || note.pitch === null ? say("entry.rest") : pitchName(note.pitch)}, ${value}`;
}

/// "Measure 5: 3.5 of 4".
export function barSum(bar: MendBar): string {
  const beats = (text: string) => figure((quarters(text) * bar.beat_type) / 4, 2);
  return say("mend.sum", { bar: bar.bar, lasts: beats(bar.lasts_quarters), needs: beats(bar.needs_quarters) });
}
