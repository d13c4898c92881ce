/// A tune as it is being typed: ABC 2.1 of one voice, read for drawing, with the place of everything
/// in the text. What it does not know is kept and pointed at. The book's own reader has the last word
/// when the tune is kept; tests hold the two together.
import { key as readKey, type Key } from "./key";

/// A whole note in ticks: divides by 256, by triplets of triplets, by 5 and 7.
export const whole = 80640;

export interface Range {
  from: number;
  to: number;
}

export interface Sound extends Range {
  kind: "note" | "rest";
  /// Accidental, letter, octave marks.
  core: Range;
  /// The digits and strokes after it; empty where it lasts one unit.
  length: Range;
  /// C is 0; middle C's octave is 4.
  step: number;
  octave: number;
  /// As written before it; nothing where the key and the bar decide.
  accidental: number | undefined;
  /// As it sounds.
  alter: number;
  ticks: number;
  /// As it is drawn, without the tuplet.
  drawn: number;
  tuplet: { actual: number; begins: boolean; ends: boolean } | undefined;
  tied: boolean;
  slursBegin: number;
  slursEnd: number;
  bow: "down" | "up" | undefined;
  finger: number | undefined;
  staccato: boolean;
  fermata: boolean;
}

export interface Bar extends Range {
  sounds: Sound[];
  ticks: number;
  /// What the metre asks for.
  need: number;
  repeatBegins: boolean;
  repeatEnds: boolean;
  ending: string;
  /// The sign of its right bar line; empty while it has none.
  line: Range;
  right: "plain" | "double" | "final" | "open";
  /// A short first bar, or the end of a repeat that makes up for it.
  excused: boolean;
}

export interface Trouble extends Range {
  /// Key of the sentence that says it, with its values.
  what: "unknown" | "noKey" | "badField" | "chord" | "tooLong" | "tooShort";
  word: string;
  ticks: number;
}

export interface Header {
  title: string;
  composer: string;
  key: Key;
  clef: Clef;
  metre: { beats: number; type: number };
  unit: number;
  tempo: string;
  /// Where the music begins in the text.
  end: number;
}
export type Clef = "treble" | "alto" | "bass";

export interface Tune {
  header: Header;
  bars: Bar[];
  troubles: Trouble[];
}

const letters = "CDEFGAB";

export function readTune(text: string): Tune {
  return new Reader(text).read();
}

/// Every sound in order.
export function soundsOf(tune: Tune): Sound[] {
  return tune.bars.flatMap((bar) => bar.sounds);
}

class Reader {
  private at = 0;
  private readonly troubles: Trouble[] = [];
  private readonly bars: Bar[] = [];
  private bar: Bar;
  private readonly header: Header;
  private altered = new Map<number, number>();
  private waiting = fresh();
  private tuplet: { actual: number; normal: number; left: number; first: boolean } | undefined;
  private broken = 0;
  private lineFrom: number | undefined;

  constructor(private readonly text: string) {
    this.header = readHeader(text, this.troubles);
    this.at = this.header.end;
    this.bar = this.newBar(this.at);
  }

  read(): Tune {
    while (this.at < this.text.length) this.token();
    if (this.bar.sounds.length > 0) this.close("open", this.at);
    this.watchSums();
    return { header: this.header, bars: this.bars, troubles: this.troubles };
  }

  private token(): void {
    const rest = this.text.slice(this.at, this.at + 64);
    const c = rest[0] ?? "";
    if (/\s/.test(c) || c === "`" || c === "\\") return void ++this.at;
    if (c === "%") return this.skipLine();
    if (this.lineBegins() && /^[A-Za-z+]:/.test(rest)) return this.field();
    const inline = /^\[([A-Za-z]):([^\]]*)\]/.exec(rest);
    if (inline) return this.inlineField(inline);
    const sound = this.sound();
    if (sound) return;
    const line = /^(?::*\|+\]?:*|:+\||::|\[\|)(?:\s*\[?(\d[\d,-]*))?|^\[(\d[\d,-]*)/.exec(rest);
    if (line) return this.barLine(line[0], line[1] ?? line[2] ?? "");
    this.sign(rest, c);
  }

  private sign(rest: string, c: string): void {
    const tuplet = /^\((\d)(?::(\d)?(?::(\d))?)?/.exec(rest);
    if (tuplet) return this.beginTuplet(tuplet);
    const decoration = /^!([^!|\s]{1,24})!/.exec(rest);
    if (decoration) return this.decorate(decoration[1] ?? "", decoration[0].length);
    const words = /^"[^"\n]*"/.exec(rest);
    if (words) return void (this.at += words[0].length);
    const last = this.lastSound();
    this.begin();
    ++this.at;
    if (c === "(") ++this.waiting.slursBegin;
    else if (c === ")" && last) this.endsAt(last, (s) => ++s.slursEnd);
    else if (c === "-" && last) this.endsAt(last, (s) => (s.tied = true));
    else if (c === "u") this.waiting.bow = "up";
    else if (c === "v") this.waiting.bow = "down";
    else if (c === ".") this.waiting.staccato = true;
    else if (c === "H") this.waiting.fermata = true;
    else if (c === ">" || c === "<") this.breakRhythm(c);
    else if (!"~TMPSOJLR".includes(c)) this.trouble("unknown", this.at - 1, this.at, c);
  }

  /// A mark behind a sound belongs to its text, though not to its own token.
  private endsAt(sound: Sound, change: (sound: Sound) => void): void {
    change(sound);
    sound.to = this.at;
    this.waiting.from = undefined;
  }

  private sound(): boolean {
    const found = /^(?:(\^{1,2}|_{1,2}|=)?([A-Ga-g])([',]*)|[zx])/.exec(this.text.slice(this.at, this.at + 24));
    if (!found) return false;
    this.begin();
    const core = { from: this.at, to: this.at + found[0].length };
    this.at = core.to;
    const stretch = /^(\d{0,3})(\/*)(\d{0,3})/.exec(this.text.slice(this.at, this.at + 12))!;
    const length = { from: this.at, to: this.at + stretch[0].length };
    this.at = length.to;
    this.keep(found, core, length, lengthOf(stretch) * this.header.unit);
    return true;
  }

  private keep(found: RegExpExecArray, core: Range, length: Range, ticks: number): void {
    const letter = found[2];
    const step = letter ? letters.indexOf(letter.toUpperCase()) : 0;
    const octave = (letter && letter >= "a" ? 5 : 4) + marks(found[3] ?? "", "'") - marks(found[3] ?? "", ",");
    const accidental = accidentalOf(found[1]);
    const place = octave * 7 + step;
    if (accidental !== undefined) this.altered.set(place, accidental);
    const w = this.waiting;
    const sound: Sound = {
      kind: letter ? "note" : "rest",
      from: w.from ?? core.from, to: length.to, core, length, step, octave, accidental,
      alter: letter ? (this.altered.get(place) ?? this.header.key.alter(step)) : 0,
      ticks, drawn: ticks, tuplet: undefined, tied: false,
      slursBegin: w.slursBegin, slursEnd: 0, bow: w.bow, finger: w.finger, staccato: w.staccato,
      fermata: w.fermata,
    };
    this.waiting = fresh();
    this.applyBroken(sound);
    this.applyTuplet(sound);
    this.bar.sounds.push(sound);
    this.bar.to = sound.to;
  }

  private begin(): void {
    this.waiting.from ??= this.at;
  }

  private applyBroken(sound: Sound): void {
    if (this.broken === 0) return;
    const share = 2 ** Math.abs(this.broken);
    sound.drawn = sound.ticks *= this.broken > 0 ? 1 / share : 2 - 1 / share;
    this.broken = 0;
  }

  private breakRhythm(c: string): void {
    let count = 1;
    while (this.text[this.at] === c && count < 3) ++this.at, ++count;
    const last = this.lastSound();
    this.waiting.from = undefined;
    if (!last) return;
    const share = 2 ** count;
    last.drawn = last.ticks *= c === ">" ? 2 - 1 / share : 1 / share;
    last.to = this.at;
    this.broken = c === ">" ? count : -count;
  }

  private beginTuplet(found: RegExpExecArray): void {
    this.begin();
    this.at += found[0].length;
    const actual = Math.max(2, Number(found[1]));
    const compound = this.header.metre.beats % 3 === 0 && this.header.metre.beats > 3;
    const usual = { 2: 3, 3: 2, 4: 3, 6: 2, 8: 3 }[actual] ?? (compound ? 3 : 2);
    const normal = Number(found[2] || usual);
    this.tuplet = { actual, normal, left: Number(found[3] || actual), first: true };
  }

  private applyTuplet(sound: Sound): void {
    const t = this.tuplet;
    if (!t) return;
    sound.ticks = (sound.ticks * t.normal) / t.actual;
    sound.tuplet = { actual: t.actual, begins: t.first, ends: --t.left === 0 };
    t.first = false;
    if (t.left === 0) this.tuplet = undefined;
  }

  private decorate(name: string, length: number): void {
    this.begin();
    this.at += length;
    if (/^[0-5]$/.test(name)) this.waiting.finger = Number(name);
    else if (name === "thumb") this.waiting.finger = 5;
    else if (name === "open") this.waiting.finger = 0;
    else if (name === "upbow") this.waiting.bow = "up";
    else if (name === "downbow") this.waiting.bow = "down";
    else if (name === "fermata") this.waiting.fermata = true;
    else if (name === "staccato") this.waiting.staccato = true;
  }

  private barLine(sign: string, ending: string): void {
    const line = sign.replace(/\s*\[?\d[\d,-]*$/, "");
    this.lineFrom = this.at;
    this.at += sign.length;
    const ends = line.startsWith(":");
    if (line !== "[" && line !== "") {
      if (this.bar.sounds.length > 0 || this.bars.length > 0 || ends) {
        this.bar.repeatEnds = ends;
        if (this.bar.sounds.length > 0) this.close(rightOf(line), this.at);
        else this.moveToLast(rightOf(line), ends);
      }
      this.bar = this.newBar(this.at);
      this.bar.repeatBegins = line.endsWith(":") && !line.startsWith("::") ? line.length > 1 : line === "::";
    }
    this.bar.ending = ending;
  }

  /// Two lines one after the other belong to the bar that is closed already.
  private moveToLast(right: Bar["right"], ends: boolean): void {
    const last = this.bars[this.bars.length - 1];
    if (!last) return;
    last.right = right;
    last.repeatEnds ||= ends;
  }

  private close(right: Bar["right"], to: number): void {
    this.bar.ticks = this.bar.sounds.reduce((sum, s) => sum + s.ticks, 0);
    this.bar.right = right;
    this.bar.line = { from: this.lineFrom ?? to, to };
    this.lineFrom = undefined;
    this.bar.to = to;
    this.bars.push(this.bar);
  }

  private newBar(from: number): Bar {
    this.altered = new Map();
    const { beats, type } = this.header.metre;
    return {
      from, to: from, sounds: [], ticks: 0, need: (beats * whole) / type, repeatBegins: false,
      repeatEnds: false, ending: "", line: { from, to: from }, right: "open", excused: false,
    };
  }

  /// The first bar may be a pickup; the last, and one before a repeat, may then lack what it holds.
  private watchSums(): void {
    const pickup = this.bars[0] && this.bars[0].ticks < this.bars[0].need ? this.bars[0].ticks : 0;
    for (const [i, bar] of this.bars.entries()) {
      const makesUp = bar.repeatEnds || bar.right === "final" || bar.right === "double" || i + 1 === this.bars.length;
      const lacks = bar.need - bar.ticks;
      const after = this.bars[i - 1];
      const rest = after && after.ticks < after.need && (after.repeatEnds || after.right === "double");
      bar.excused =
        (i === 0 && lacks > 0 && this.bars.length > 1) ||
        (makesUp && lacks > 0 && Math.abs(lacks - pickup) < 1) ||
        (Boolean(rest) && Math.abs(after!.ticks + bar.ticks - bar.need) < 1);
      if (Math.abs(lacks) < 1 || bar.excused || bar.right === "open") continue;
      this.trouble(lacks < 0 ? "tooLong" : "tooShort", bar.from, bar.to, String(i + 1), Math.abs(lacks));
    }
  }

  private lastSound(): Sound | undefined {
    return this.bar.sounds[this.bar.sounds.length - 1] ?? this.bars[this.bars.length - 1]?.sounds.slice(-1)[0];
  }

  private lineBegins(): boolean {
    return this.at === 0 || this.text[this.at - 1] === "\n";
  }
  private skipLine(): void {
    const end = this.text.indexOf("\n", this.at);
    this.at = end < 0 ? this.text.length : end;
  }
  private field(): void {
    const from = this.at;
    this.skipLine();
    this.change(this.text[from] ?? "", this.text.slice(from + 2, this.at), from);
  }
  private inlineField(found: RegExpExecArray): void {
    const from = this.at;
    this.at += found[0].length;
    this.change(found[1] ?? "", found[2] ?? "", from);
  }
  private change(letter: string, value: string, from: number): void {
    if (!applyField(this.header, letter, value)) this.trouble("badField", from, this.at, value.trim());
    if (letter === "M" && this.bar.sounds.length === 0) {
      this.bar.need = (this.header.metre.beats * whole) / this.header.metre.type;
    }
  }
  private trouble(what: Trouble["what"], from: number, to: number, word: string, ticks = 0): void {
    this.troubles.push({ what, from, to, word, ticks });
  }
}

function fresh() {
  return {
    from: undefined as number | undefined, slursBegin: 0, bow: undefined as Sound["bow"],
    finger: undefined as number | undefined, staccato: false, fermata: false,
  };
}

function rightOf(line: string): Bar["right"] {
  if (line.includes("]") || line.startsWith(":")) return "final";
  return line.includes("||") ? "double" : "plain";
}

function marks(text: string, mark: string): number {
  return text.split(mark).length - 1;
}

function accidentalOf(sign: string | undefined): number | undefined {
  return sign === undefined ? undefined : { "^": 1, "^^": 2, _: -1, __: -2, "=": 0 }[sign];
}

/// "3/2", "/", "//4" as a factor (ABC 2.1, section 4.3).
function lengthOf([, above, strokes = "", below]: RegExpExecArray): number {
  const number = above ? Number(above) : 1;
  if (strokes === "") return Math.max(1, number);
  const divisor = below ? Number(below) * 2 ** (strokes.length - 1) : 2 ** strokes.length;
  return Math.max(1, number) / Math.max(1, divisor);
}

function readHeader(text: string, troubles: Trouble[]): Header {
  const header: Header = {
    title: "", composer: "", key: readKey("C")!, clef: "treble", metre: { beats: 4, type: 4 },
    unit: 0, tempo: "", end: 0,
  };
  let keyed = false;
  for (let at = 0; at < text.length && !keyed; ) {
    const end = text.indexOf("\n", at);
    const line = text.slice(at, end < 0 ? text.length : end);
    const field = /^([A-Za-z]):(.*)$/.exec(line);
    if (!field && line.trim() !== "" && !line.startsWith("%")) break;
    if (field && !applyField(header, field[1] ?? "", field[2] ?? "")) {
      troubles.push({ what: "badField", from: at, to: at + line.length, word: line, ticks: 0 });
    }
    keyed = field?.[1] === "K";
    at = end < 0 ? text.length : end + 1;
    header.end = at;
  }
  if (!keyed) troubles.push({ what: "noKey", from: 0, to: Math.min(text.length, 1), word: "", ticks: 0 });
  // Below three quarters the usual unit is a sixteenth (ABC 2.1, section 3.1.7).
  if (header.unit === 0) header.unit = header.metre.beats / header.metre.type < 0.75 ? whole / 16 : whole / 8;
  return header;
}

/// False: the field's value cannot be read.
function applyField(header: Header, letter: string, raw: string): boolean {
  const value = raw.replace(/%.*$/, "").trim();
  if (letter === "T") header.title ||= value;
  else if (letter === "C") header.composer ||= value;
  else if (letter === "Q") header.tempo = value;
  else if (letter === "L") return applyUnit(header, value);
  else if (letter === "M") return applyMetre(header, value);
  else if (letter === "K") return applyKey(header, value);
  return true;
}

function applyUnit(header: Header, value: string): boolean {
  const found = /^1\/(1|2|4|8|16|32|64)$/.exec(value);
  if (found) header.unit = whole / Number(found[1]);
  return found !== null;
}

function applyMetre(header: Header, value: string): boolean {
  const found = { C: "4/4", "C|": "2/2" }[value] ?? value;
  const parts = /^(\d{1,2})\/(1|2|4|8|16)$/.exec(found);
  if (parts) header.metre = { beats: Number(parts[1]), type: Number(parts[2]) };
  return parts !== null && header.metre.beats > 0;
}

function applyKey(header: Header, value: string): boolean {
  const clef = /(?:clef=)?\b(treble|alto|bass)\b/.exec(value)?.[1] as Clef | undefined;
  if (clef) header.clef = clef;
  const name = value.replace(/(?:clef=)?\b(treble|alto|bass)\b/, "").trim();
  if (name === "" && clef) return true;
  const found = readKey(name);
  if (found) header.key = found;
  return found !== undefined;
}
