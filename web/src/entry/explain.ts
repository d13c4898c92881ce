/// What the text says, in words: the sign at the caret, and what is wrong where.
import { pitchName } from "../words/pitch";
import { figure, say, term } from "../words/words.svelte";
import { writtenValue } from "./layout";
import { whole, type Sound, type Trouble, type Tune } from "./tune";

const letters = "CDEFGAB";
const names = ["whole", "half", "quarter", "eighth", "sixteenth", "32nd"];
const fields = "XTCMLQKVR";

export function valueName(ticks: number): string {
  const { power, dots } = writtenValue(ticks);
  const name = term("value", names[Math.max(0, power)] ?? "quarter");
  return dots > 0 ? say("entry.dotted", { value: name }) : name;
}

function noteName(sound: Sound): string {
  const sign = { 2: "##", 1: "#", 0: "", [-1]: "b", [-2]: "bb" }[sound.alter] ?? "";
  return pitchName(`${letters[sound.step]}${sign}${sound.octave}`);
}

export function soundName(sound: Sound): string {
  if (sound.kind === "rest") return `${say("entry.rest")}, ${valueName(sound.drawn)}`;
  const parts = [noteName(sound), valueName(sound.drawn)];
  if (sound.bow) parts.push(say(sound.bow === "up" ? "note.up" : "note.down"));
  if (sound.finger !== undefined) {
    parts.push(sound.finger === 0 ? say("note.open") : sound.finger === 5 ? say("note.thumb") : say("note.finger", { n: sound.finger }));
  }
  if (sound.staccato) parts.push(say("entry.staccato"));
  if (sound.tied) parts.push(say("entry.tie"));
  if (sound.slursBegin + sound.slursEnd > 0) parts.push(say("entry.slur"));
  return parts.join(", ");
}

/// What stands at `caret`: a line of the header, a sound, a bar line; else nothing.
export function explainAt(tune: Tune, text: string, caret: number): string {
  if (caret < tune.header.end) {
    const line = text.slice(text.lastIndexOf("\n", caret - 1) + 1);
    const letter = /^([A-Z]):/.exec(line)?.[1] ?? "";
    return fields.includes(letter) && letter ? `${letter}: ${term("entry.field", letter)}` : "";
  }
  for (const bar of tune.bars) {
    for (const sound of bar.sounds) {
      if (sound.from < caret && caret <= sound.to) return soundName(sound);
    }
    if (bar.line.from < caret && caret <= bar.line.to) return say("entry.barLine");
  }
  return "";
}

/// "measure 3: E6, not in first position"
export function outOfHandName(sound: Sound, bar: number, step: string, anywhere: boolean): string {
  const note = noteName(sound);
  if (!anywhere) return say("entry.notThere", { bar, note });
  return say("entry.outOfStep", { bar, note, step: term("step", step) });
}

export function troubleName(trouble: Trouble): string {
  const n = figure((4 * trouble.ticks) / whole, 2);
  return say(`entry.trouble.${trouble.what}`, { word: trouble.word, n });
}
