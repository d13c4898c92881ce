/// Keys as ABC writes them: "D", "F#m", "Bb", "Ador", "E minor" (ABC 2.1, section 3.1.14).
export interface Key {
  /// Sharps; flats below 0.
  fifths: number;
  /// What the signature does to a step (C is 0).
  alter: (step: number) => number;
}

const sharps = [3, 0, 4, 1, 5, 2, 6]; // F C G D A E B
const onLine: Record<string, number> = { F: -1, C: 0, G: 1, D: 2, A: 3, E: 4, B: 5 };
/// How far a mode lies from the major key on the same note.
export const modes: Record<string, number> = {
  "": 0, maj: 0, ion: 0, m: -3, min: -3, aeo: -3, mix: -1, dor: -2, phr: -4, lyd: 1, loc: -5,
};

export function key(text: string): Key | undefined {
  const found = /^([A-G])([#b]?)\s*([A-Za-z]*)$/.exec(text.trim());
  if (!found) return undefined;
  const [, letter = "", sign, word = ""] = found;
  const mode = modes[word.toLowerCase().slice(0, 3)];
  if (mode === undefined) return undefined;
  const fifths = (onLine[letter] ?? 0) + (sign === "#" ? 7 : sign === "b" ? -7 : 0) + mode;
  return Math.abs(fifths) > 7 ? undefined : signature(fifths);
}

export function signature(fifths: number): Key {
  return {
    fifths,
    alter: (step) => {
      const place = sharps.indexOf(step);
      if (fifths > 0) return place < fifths ? 1 : 0;
      return 6 - place < -fifths ? -1 : 0;
    },
  };
}
