/// Notes by string and finger in first position, for those who think of the place and not the letter.
import type { Key } from "./key";

export interface Place {
  step: number;
  octave: number;
  accidental: number | undefined;
}

/// Open strings from the highest, step and octave as written.
const open: Record<string, [step: number, octave: number][]> = {
  violin: [[2, 5], [5, 4], [1, 4], [4, 3]],
  viola: [[5, 4], [1, 4], [4, 3], [0, 3]],
  cello: [[5, 3], [1, 3], [4, 2], [0, 2]],
  bass: [[4, 3], [1, 3], [5, 2], [2, 2]],
};

/// Violin and viola: a finger a letter. Cello: a finger a semitone; bass: 1, 2 and 4 a semitone apart
/// (the handbook's frames of the hand). Semitones above the open string.
const semitones: Record<string, (number | undefined)[]> = {
  cello: [0, 2, 3, 4, 5],
  bass: [0, 2, 3, undefined, 4],
};

const natural = [0, 2, 4, 5, 7, 9, 11];

function midi(step: number, octave: number, alter: number): number {
  return 12 * (octave + 1) + (natural[step] ?? 0) + alter;
}

/// What `finger` stops on `string` (1 is the highest) in `key`; nothing where the finger has no place.
export function stopped(instrument: string, string: number, finger: number, key: Key): Place | undefined {
  const at = open[instrument]?.[string - 1];
  if (!at) return undefined;
  const [step, octave] = at;
  const frame = semitones[instrument];
  if (!frame) return above(step, octave, finger);
  const up = frame[finger];
  return up === undefined ? undefined : spelled(midi(step, octave, 0) + up, key);
}

function above(step: number, octave: number, letters: number): Place {
  const place = octave * 7 + step + letters;
  return { step: place % 7, octave: Math.floor(place / 7), accidental: undefined };
}

/// As the key has it; else as a natural, else with a sharp, or with a flat where the key has flats.
function spelled(wanted: number, key: Key): Place {
  const sign = key.fifths < 0 ? -1 : 1;
  for (const accidental of [undefined, 0, sign]) {
    for (let octave = 1; octave < 8; ++octave) {
      for (let step = 0; step < 7; ++step) {
        const alter = accidental ?? key.alter(step);
        if (midi(step, octave, alter) === wanted) return { step, octave, accidental };
      }
    }
  }
  return { step: 0, octave: 4, accidental: undefined };
}
