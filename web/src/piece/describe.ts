/// A note in words, for a screen reader and for the card under the staff.
import type { NoteMarkings } from "../contracts/desk";
import type { TimelineNote } from "../contracts/timeline";
import { pitchName } from "../words/pitch";
import { say } from "../words/words.svelte";
import { stringName } from "./strings";

export function noteName(note: TimelineNote): string {
  return say("note.inBar", { bar: note.bar, pitch: pitchName(note.spelled) });
}

export function describeNote(
  note: TimelineNote,
  marks: NoteMarkings | undefined,
  instrument: string,
): string {
  const parts = [noteName(note)];
  const finger = marks?.finger?.value ?? note.finger;
  const string = marks?.string?.value ?? note.string;
  const bow = marks?.bow?.value;
  if (finger !== null && finger !== undefined) {
    parts.push(finger === 0 ? say("note.open") : finger === 5 ? say("note.thumb") : say("note.finger", { n: finger }));
  }
  if (string !== null && string !== undefined) {
    parts.push(say("note.onString", { string: stringName(instrument, string) }));
  }
  if (bow) parts.push(say(bow === "down" ? "note.down" : "note.up"));
  return parts.join(", ");
}
