/// What a gesture makes of a written note: the same keys and signs as where a tune is written.
import type { MendNote } from "../contracts/desk";
import { signature } from "../entry/key";
import { writtenValue } from "../entry/layout";
import { readTune, soundsOf, whole } from "../entry/tune";

/// What is sent of a note that is put right.
export interface Change {
  pitch?: string;
  value?: string;
  dots?: number;
  rest?: boolean;
  removed?: boolean;
}

export const valueNames = ["whole", "half", "quarter", "eighth", "sixteenth", "32nd"] as const;
const letters = "CDEFGAB";

interface Pitch {
  step: number;
  octave: number;
  alter: number;
}

export function readPitch(spelled: string): Pitch | undefined {
  const found = /^([A-G])(#*|b*)(-?\d+)$/.exec(spelled);
  if (!found) return undefined;
  const [, letter = "C", signs = "", octave = "4"] = found;
  const alter = signs.startsWith("b") ? -signs.length : signs.length;
  return { step: letters.indexOf(letter), octave: Number(octave), alter };
}

export function pitchText({ step, octave, alter }: Pitch): string {
  return `${letters[step] ?? "C"}${(alter < 0 ? "b" : "#").repeat(Math.abs(alter))}${octave}`;
}

/// So many steps of the staff higher; the key decides the rest.
export function moved(spelled: string, steps: number, fifths: number): string {
  const pitch = readPitch(spelled);
  if (!pitch) return spelled;
  const place = pitch.octave * 7 + pitch.step + steps;
  const step = ((place % 7) + 7) % 7;
  return pitchText({ step, octave: Math.floor(place / 7), alter: signature(fifths).alter(step) });
}

/// With this accidental; the one that is there goes back to what the key says.
export function withAccidental(spelled: string, alter: number, fifths: number): string {
  const pitch = readPitch(spelled);
  if (!pitch) return spelled;
  const next = pitch.alter === alter ? signature(fifths).alter(pitch.step) : alter;
  return pitchText({ ...pitch, alter: next });
}

/// The letter nearest to where the note is now.
function nearest(spelled: string, letter: string, fifths: number): string {
  const pitch = readPitch(spelled);
  if (!pitch) return spelled;
  const up = (((letters.indexOf(letter) - pitch.step) % 7) + 7) % 7;
  return moved(spelled, up > 3 ? up - 7 : up, fifths);
}

/// One note as ABC writes it, where a quarter is 1: "^f3/2", "z2". Nothing: it is none.
export function typedChange(word: string, fifths: number): Change | undefined {
  const tune = readTune(`X:1\nL:1/4\nK:C\n${word.trim()}`);
  const sounds = soundsOf(tune);
  const [sound] = sounds;
  if (!sound || sounds.length !== 1 || tune.troubles.some((t) => t.what !== "tooShort")) return undefined;
  const { power, dots } = writtenValue(sound.drawn);
  const value = valueNames[power];
  if (value === undefined || Math.abs(ticksOf(power, dots) - sound.drawn) > 1) return undefined;
  if (sound.kind === "rest") return { rest: true, value, dots };
  const alter = sound.accidental ?? signature(fifths).alter(sound.step);
  return { pitch: pitchText({ step: sound.step, octave: sound.octave, alter }), value, dots };
}

function ticksOf(power: number, dots: number): number {
  const plain = whole / 2 ** power;
  return dots === 0 ? plain : plain * (dots === 1 ? 1.5 : 1.75);
}

/// Arrows a step, with Shift an octave; a letter its note; 1, 2, 4, 8, 6 a value; a dot; Delete.
export function changeOfKey(
  event: Pick<KeyboardEvent, "key" | "shiftKey" | "ctrlKey" | "metaKey" | "altKey">,
  note: Pick<MendNote, "pitch" | "dots" | "rest">,
  fifths: number,
): Change | undefined {
  if (event.ctrlKey || event.metaKey || event.altKey) return undefined;
  const steps = event.shiftKey ? 7 : 1;
  if (event.key === "ArrowUp" && note.pitch) return { pitch: moved(note.pitch, steps, fifths) };
  if (event.key === "ArrowDown" && note.pitch) return { pitch: moved(note.pitch, -steps, fifths) };
  if (event.key === "Delete" || event.key === "Backspace") return { removed: true };
  if (event.key === ".") return { dots: note.dots === 1 ? 0 : 1 };
  if (event.key === "z") return { rest: !note.rest };
  const value = { "1": "whole", "2": "half", "4": "quarter", "8": "eighth", "6": "sixteenth" }[event.key];
  if (value !== undefined) return { value };
  const letter = event.key.toUpperCase();
  if (letter.length === 1 && letters.includes(letter) && note.pitch) {
    return { pitch: nearest(note.pitch, letter, fifths) };
  }
  return undefined;
}
