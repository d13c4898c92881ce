/// What touching does to the text: every gesture is one edit of the ABC, so that typing and touching
/// work on the same tune and one undo serves both. Pure functions; a text that cannot be changed as
/// wished comes back as it is.
import { readTune, soundsOf, type Bar, type Range, type Sound, type Tune } from "./tune";

export interface Edited {
  text: string;
  /// The sound that is chosen afterwards; -1 before the first.
  at: number;
}

/// A value as the tray offers it.
export interface Value {
  ticks: number;
  dotted: boolean;
}

const letters = "CDEFGAB";

export function pitchText(step: number, octave: number, accidental?: number): string {
  const sign = accidental === undefined ? "" : ({ 2: "^^", 1: "^", 0: "=", [-1]: "_", [-2]: "__" }[accidental] ?? "");
  const letter = letters[step] ?? "C";
  return octave >= 5
    ? sign + letter.toLowerCase() + "'".repeat(octave - 5)
    : sign + letter + ",".repeat(4 - octave);
}

/// The digits behind a note of `ticks` where one unit lasts `unit`.
export function lengthText(ticks: number, unit: number): string {
  const divisor = gcd(ticks, unit);
  const [above, below] = [ticks / divisor, unit / divisor];
  if (below === 1) return above === 1 ? "" : String(above);
  return `${above === 1 ? "" : above}/${below}`;
}

function gcd(a: number, b: number): number {
  return b === 0 ? a : gcd(b, a % b);
}

function replaced(text: string, range: Range, by: string): string {
  return text.slice(0, range.from) + by + text.slice(range.to);
}

export function valueTicks(value: Value): number {
  return value.dotted ? value.ticks * 1.5 : value.ticks;
}

/// Writes `core` (a pitch, or "z") behind the sound `after`, and closes the bar when it is full.
export function insert(text: string, after: number, core: string, value: Value): Edited {
  const tune = readTune(text);
  const token = core + lengthText(valueTicks(value), tune.header.unit);
  const place = placeAfter(tune, text, after);
  const gap = place > 0 && !/\s/.test(text[place - 1] ?? " ") ? " " : "";
  const next = text.slice(0, place) + gap + token + spaceBefore(text.slice(place)) ;
  return { text: closeFullBar(next, after + 1), at: after + 1 };
}

function spaceBefore(rest: string): string {
  return rest === "" || /^\s/.test(rest) ? rest : ` ${rest}`;
}

/// Behind the sound's token; where its bar is closed and asks for nothing more, behind the bar line. At
/// the tune's end a closed bar is left as it is: a pickup, or what its bar line was set for.
function placeAfter(tune: Tune, text: string, after: number): number {
  const sounds = soundsOf(tune);
  const sound = sounds[after];
  if (!sound) return beginOfMusic(tune, text);
  const bar = barOf(tune, sound);
  const last = bar.sounds[bar.sounds.length - 1] === sound;
  const content = bar.ticks >= bar.need || bar.excused || tune.bars[tune.bars.length - 1] === bar;
  return last && bar.right !== "open" && content ? bar.line.to : sound.to;
}

/// A repeat sign may stand before the first sound.
function beginOfMusic(tune: Tune, text: string): number {
  const sign = /^\s*\|:?/.exec(text.slice(tune.header.end));
  return tune.header.end + (sign ? sign[0].length : 0);
}

function barOf(tune: Tune, sound: Sound): Bar {
  return tune.bars.find((bar) => bar.sounds.includes(sound))!;
}

const barsInALine = 4;

function closeFullBar(text: string, at: number): string {
  const tune = readTune(text);
  const sound = soundsOf(tune)[at];
  const bar = sound && barOf(tune, sound);
  if (!bar || bar.right !== "open" || Math.abs(bar.ticks - bar.need) > 0.5) return text;
  const full = tune.bars.filter((b) => b.ticks >= b.need).length;
  const line = full % barsInALine === 0 ? " |\n" : " |";
  return text.slice(0, sound.to) + line + text.slice(sound.to);
}

/// Draws a bar line behind the sound, as after a pickup.
export function barLine(text: string, after: number, sign = "|"): Edited {
  const tune = readTune(text);
  const sound = soundsOf(tune)[after];
  if (!sound) return { text, at: after };
  const bar = barOf(tune, sound);
  const last = bar.sounds[bar.sounds.length - 1] === sound;
  if (last && bar.right !== "open") return { text: replaced(text, bar.line, sign), at: after };
  return { text: `${text.slice(0, sound.to)} ${sign}${text.slice(sound.to)}`, at: after };
}

export function setPitch(text: string, at: number, step: number, octave: number, accidental?: number): Edited {
  const sound = soundsOf(readTune(text))[at];
  if (!sound) return { text, at };
  return { text: replaced(text, sound.core, pitchText(step, octave, accidental)), at };
}

/// Up or down by steps of the staff; the key decides the rest.
export function move(text: string, at: number, steps: number): Edited {
  const sound = soundsOf(readTune(text))[at];
  if (!sound || sound.kind === "rest") return { text, at };
  const place = sound.octave * 7 + sound.step + steps;
  return setPitch(text, at, ((place % 7) + 7) % 7, Math.floor(place / 7));
}

/// The accidental; the one that is there goes.
export function setAccidental(text: string, at: number, accidental: number): Edited {
  const sound = soundsOf(readTune(text))[at];
  if (!sound || sound.kind === "rest") return { text, at };
  const next = sound.accidental === accidental ? undefined : accidental;
  return setPitch(text, at, sound.step, sound.octave, next);
}

export function setValue(text: string, at: number, value: Value): Edited {
  const tune = readTune(text);
  const sound = soundsOf(tune)[at];
  if (!sound || /[<>]/.test(text.slice(sound.length.to, sound.to))) return { text, at };
  return { text: replaced(text, sound.length, lengthText(valueTicks(value), tune.header.unit)), at };
}

export function setRest(text: string, at: number, pitch: string): Edited {
  const sound = soundsOf(readTune(text))[at];
  if (!sound) return { text, at };
  return { text: replaced(text, sound.core, sound.kind === "rest" ? pitch : "z"), at };
}

const signs = {
  bow: /[uv]|!upbow!|!downbow!/g,
  finger: /![0-5]!|!thumb!|!open!/g,
  staccato: /\.|!staccato!/g,
};

function setSign(text: string, at: number, what: keyof typeof signs, sign: string): Edited {
  const sound = soundsOf(readTune(text))[at];
  if (!sound || sound.kind === "rest") return { text, at };
  const prefix = text.slice(sound.from, sound.core.from).replace(signs[what], "");
  return { text: replaced(text, { from: sound.from, to: sound.core.from }, prefix + sign), at };
}

export function setBow(text: string, at: number, bow: "down" | "up"): Edited {
  const now = soundsOf(readTune(text))[at]?.bow;
  return setSign(text, at, "bow", now === bow ? "" : bow === "up" ? "u" : "v");
}

export function setFinger(text: string, at: number, finger: number): Edited {
  const now = soundsOf(readTune(text))[at]?.finger;
  return setSign(text, at, "finger", now === finger ? "" : finger === 5 ? "!thumb!" : `!${finger}!`);
}

export function setStaccato(text: string, at: number): Edited {
  return setSign(text, at, "staccato", soundsOf(readTune(text))[at]?.staccato ? "" : ".");
}

export function setTie(text: string, at: number): Edited {
  const sound = soundsOf(readTune(text))[at];
  if (!sound || sound.kind === "rest") return { text, at };
  const tail = { from: sound.length.to, to: sound.to };
  const words = text.slice(tail.from, tail.to);
  return { text: replaced(text, tail, sound.tied ? words.replace("-", "") : `-${words}`), at };
}

/// Joins the sound with the next one in a slur, or lets a slur that ends here reach one further.
export function setSlur(text: string, at: number): Edited {
  const sounds = soundsOf(readTune(text));
  const [sound, next] = [sounds[at], sounds[at + 1]];
  if (!sound || !next) return { text, at };
  const opened = sounds.slice(0, at + 1).reduce((n, s) => n + s.slursBegin - s.slursEnd, 0);
  const closing = `${text.slice(sound.to, next.to)})`;
  if (sound.slursEnd > 0) {
    const tail = { from: sound.length.to, to: next.to };
    const own = text.slice(sound.length.to, sound.to).replace(")", "");
    return { text: replaced(text, tail, own + closing), at: at + 1 };
  }
  if (opened > 0) return { text, at };
  const begun = text.slice(0, sound.from) + "(" + text.slice(sound.from, sound.to);
  return { text: begun + closing + text.slice(next.to), at: at + 1 };
}

/// Takes the slur that begins or ends here away.
export function freeSlur(text: string, at: number): Edited {
  const sounds = soundsOf(readTune(text));
  let [first, last] = [at, at];
  while (first > 0 && !sounds[first]?.slursBegin) --first;
  while (last < sounds.length - 1 && (!sounds[last]?.slursEnd || last === first)) ++last;
  const [begin, end] = [sounds[first], sounds[last]];
  if (!begin?.slursBegin || !end?.slursEnd) return { text, at };
  const tail = { from: end.length.to, to: end.to };
  const freed = replaced(text, tail, text.slice(tail.from, tail.to).replace(")", ""));
  const head = { from: begin.from, to: begin.core.from };
  return { text: replaced(freed, head, freed.slice(head.from, head.to).replace("(", "")), at };
}

/// Makes a triplet of the sound and the two behind it, or ends the one that begins here.
export function setTriplet(text: string, at: number): Edited {
  const sounds = soundsOf(readTune(text));
  const sound = sounds[at];
  if (!sound || (!sound.tuplet && sounds.slice(at, at + 3).some((s) => s.tuplet))) return { text, at };
  if (sound.tuplet && !sound.tuplet.begins) return { text, at };
  const head = { from: sound.from, to: sound.core.from };
  const prefix = text.slice(head.from, head.to);
  const next = sound.tuplet ? prefix.replace(/\(\d(:\d?(:\d)?)?/, "") : `(3${prefix}`;
  return { text: replaced(text, head, next), at };
}

/// Takes the sound away. A slur that began or ended with it is freed first.
export function remove(text: string, at: number): Edited {
  const before = soundsOf(readTune(text))[at];
  if (!before) return { text, at };
  const freed = before.slursBegin + before.slursEnd > 0 ? freeSlur(text, at).text : text;
  const sound = soundsOf(readTune(freed))[at];
  if (!sound) return { text, at };
  const from = freed[sound.from - 1] === " " ? sound.from - 1 : sound.from;
  return { text: replaced(freed, { from, to: sound.to }, ""), at: at - 1 };
}

/// Takes the bar line behind the sound away: what it parted becomes one bar.
export function removeLine(text: string, after: number): Edited {
  const tune = readTune(text);
  const sound = soundsOf(tune)[after];
  const bar = sound && barOf(tune, sound);
  if (!bar || bar.right === "open" || bar.sounds[bar.sounds.length - 1] !== sound) return { text, at: after };
  return { text: replaced(text, bar.line, "").replace(/ {2,}/g, " "), at: after };
}

/// A repeat around the bars of the sounds `from` to `to`.
export function setRepeat(text: string, at: number, end: "begin" | "end"): Edited {
  const tune = readTune(text);
  const sound = soundsOf(tune)[at];
  if (!sound) return { text, at };
  const bar = barOf(tune, sound);
  if (end === "end") {
    const line = bar.repeatEnds ? "|" : ":|";
    return bar.right === "open"
      ? { text: `${text.slice(0, bar.to)} :|${text.slice(bar.to)}`, at }
      : { text: replaced(text, bar.line, line), at };
  }
  const before = tune.bars[tune.bars.indexOf(bar) - 1];
  if (before) return { text: replaced(text, before.line, bar.repeatBegins ? "|" : "|:"), at };
  const sign = /^\s*\|:/.exec(text.slice(tune.header.end));
  const music = text.slice(tune.header.end + (sign ? sign[0].length : 0)).replace(/^\s*/, "");
  return { text: `${text.slice(0, tune.header.end)}${sign ? "" : "|: "}${music}`, at };
}

/// "1" or "2" over the bar of the sound; the one that is there goes.
export function setEnding(text: string, at: number, number: "1" | "2"): Edited {
  const tune = readTune(text);
  const sound = soundsOf(tune)[at];
  if (!sound) return { text, at };
  const bar = barOf(tune, sound);
  const first = bar.sounds[0]!;
  const head = text.slice(0, first.from).replace(/\s*\[?\d\s*$/, "");
  const mark = bar.ending === number ? " " : ` [${number} `;
  return { text: head + mark + text.slice(first.from), at };
}

/// Sets a line of the header; one that is not there is put before K:.
export function setField(text: string, letter: string, value: string): string {
  const line = new RegExp(`^${letter}:.*$`, "m");
  if (line.test(text)) return text.replace(line, () => `${letter}:${value}`);
  if (/^K:/m.test(text)) return text.replace(/^K:/m, () => `${letter}:${value}\nK:`);
  return `${letter}:${value}\n${text}`;
}
