/// What was measured on one note, in words with figures.
import type { Hearing, NoteHearing } from "../contracts/hearing";
import type { Timeline } from "../contracts/timeline";
import { noteName } from "../piece/describe";
import { pitchName } from "../words/pitch";
import { figure, say } from "../words/words.svelte";

const letters = ["C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B"];
/// Smaller than this is within what a hand and an ear can tell (2–3 cents; 6 ms).
const evenCents = 3;
const evenMs = 6;

export function midiName(midi: number): string {
  return pitchName(`${letters[midi % 12] ?? "C"}${Math.floor(midi / 12) - 1}`);
}

/// Seconds as a clock shows them.
export function clock(s: number): string {
  return `${Math.floor(s / 60)}:${String(Math.floor(s % 60)).padStart(2, "0")}`;
}

/// One sentence a measure; what is unknown is not said.
export function figuresOf(note: NoteHearing): string[] {
  if (note.state === "missed") return [say("figures.missed")];
  if (note.state === "not-reached") return [say("figures.notReached")];
  if (note.state === "uncertain" && !note.heard) return [say("figures.uncertain")];
  const h = note.heard;
  if (!h) return [];
  if (note.state === "wrong") return [say("figures.wrong", { pitch: midiName(h.midi) })];
  const said = note.state === "uncertain" ? [say("figures.uncertain")] : [];
  if (h.intonation_cents !== null) said.push(pitch(h.intonation_cents, h.uncertainty_cents));
  if (h.deviation_ms !== null) said.push(time(h.deviation_ms, h.deviation_uncertainty_ms));
  if (h.sounding_ratio !== null) {
    const doubt = h.sounding_ratio_uncertainty;
    said.push(say("figures.held", { n: figure(100 * h.sounding_ratio) }) + give(doubt && 100 * doubt));
  }
  return said;
}

/// Give and take of a figure; nothing where it is not known.
function give(doubt: number | null | undefined): string {
  return doubt === null || doubt === undefined ? "" : ` (± ${figure(Math.max(1, doubt))})`;
}

function pitch(cents: number, doubt: number | null): string {
  if (Math.abs(cents) < evenCents) return say("figures.inTune") + give(doubt);
  const key = cents < 0 ? "figures.flat" : "figures.sharp";
  return say(key, { n: figure(Math.abs(cents)) }) + give(doubt);
}

function time(ms: number, doubt: number | null | undefined): string {
  if (Math.abs(ms) < evenMs) return say("figures.onTime") + give(doubt);
  return say(ms < 0 ? "figures.early" : "figures.late", { n: figure(Math.abs(ms)) }) + give(doubt);
}

/// A note and what was heard of it, as one line.
export function describeHeard(timeline: Timeline, hearing: Hearing | null, index: number): string {
  const [note, heard] = [timeline.notes[index], hearing?.notes[index]];
  return note ? [noteName(note), ...(heard ? figuresOf(heard) : [])].join(", ") : "";
}
