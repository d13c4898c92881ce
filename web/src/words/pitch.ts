/// A spelled pitch ("F#3", "Bb2") as the reader's language says it.
import { spoken } from "./words.svelte";

const solfege = { C: "do", D: "re", E: "mi", F: "fa", G: "sol", A: "la", B: "si" } as const;
const german: Record<string, string> = { B: "H", Bb: "B", Eb: "Es", Ab: "As" };

/// German adds -is and -es to the letter, save for the names above; French, Spanish, Italian and
/// Portuguese say syllables; English says letters. Octaves are counted from C, middle C is C4.
export function pitchName(spelled: string): string {
  const match = /^([A-G])(#*|x|b*)(-?\d+)$/.exec(spelled.replace(/♯/g, "#").replace(/♭/g, "b"));
  if (!match) return spelled;
  const [, letter = "", sign = "", octave = ""] = match;
  const marks = sign.replace(/x/g, "##").replace(/#/g, "♯").replace(/b/g, "♭");
  const language = spoken();
  if (language === "de") return germanName(letter, sign) + octave;
  if (language.startsWith("en")) return letter + marks + octave;
  const syllable = solfege[letter as keyof typeof solfege];
  return (language === "fr" && letter === "D" ? "ré" : language === "pt" && letter === "D" ? "ré" : syllable) + marks + octave;
}

function germanName(letter: string, sign: string): string {
  const known = german[letter + sign];
  if (known) return known;
  if (sign.startsWith("b")) return letter + "es".repeat(sign.length);
  const base = german[letter] ?? letter;
  return base + "is".repeat(sign.replace("x", "##").length);
}
