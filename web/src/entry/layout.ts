/// Where everything of a tune stands on paper, in staff spaces: x to the right from the line's left
/// edge, y downward from the middle line of its staff. Quick enough for every keystroke; the engraver
/// draws the piece anew once it is kept.
import { soundsOf, whole, type Bar, type Clef, type Sound, type Tune } from "./tune";

export interface PlacedSound {
  sound: Sound;
  /// Among all sounds of the tune.
  index: number;
  x: number;
  y: number;
  up: boolean;
  /// End of its stem; nothing for a whole note or a rest.
  stem: number | undefined;
  /// Flags it carries itself; 0 under a beam.
  flags: number;
  dots: number;
}

export interface Beam {
  from: number;
  to: number;
  y: number;
  up: boolean;
}

export interface Curve {
  from: number;
  to: number;
  y: number;
  up: boolean;
}

export interface PlacedBar {
  bar: Bar;
  /// From 0.
  index: number;
  /// As it is called; a pickup is 0.
  number: number;
  x: number;
  width: number;
  sounds: PlacedSound[];
  beams: Beam[];
  tuplets: { x: number; y: number; number: number }[];
}

export interface Line {
  bars: PlacedBar[];
  width: number;
  /// Where the music begins, behind the signatures.
  music: number;
  showsMetre: boolean;
  curves: Curve[];
}

/// Staff step (7 an octave, C0 is 0) that stands on the middle line.
const middle: Record<Clef, number> = { treble: 34, alto: 28, bass: 22 };

export function heightOf(clef: Clef, step: number, octave: number): number {
  return (middle[clef] - (octave * 7 + step)) / 2;
}

/// The step and octave that stand at `y`.
export function pitchAt(clef: Clef, y: number): { step: number; octave: number } {
  const place = middle[clef] - Math.round(y * 2);
  return { step: ((place % 7) + 7) % 7, octave: Math.floor(place / 7) };
}

/// Sharps and flats of the signature on the treble staff, as heights; other clefs move them all.
const sharpPlaces = [38, 35, 39, 36, 33, 37, 34];
const flatPlaces = [34, 37, 33, 36, 32, 35, 31];
const signatureShift: Record<Clef, number> = { treble: 0, alto: 1, bass: 2 };

export function signatureHeights(clef: Clef, fifths: number): number[] {
  const places = fifths > 0 ? sharpPlaces.slice(0, fifths) : flatPlaces.slice(0, -fifths);
  return places.map((place) => (34 - place + signatureShift[clef]) / 2);
}

const clefWidth = 4.2;
const stemLength = 3.5;

export function layOut(tune: Tune, available: number): Line[] {
  const { key } = tune.header;
  const head = clefWidth + Math.abs(key.fifths) * 1.1;
  const lines: Line[] = [];
  const order = new Map(soundsOf(tune).map((sound, i) => [sound, i]));
  const pickup = tune.bars[0]?.excused ? 0 : 1;
  let row: PlacedBar[] = [];
  let x = 0;
  const start = () => head + (lines.length === 0 ? 2.6 : 0);
  const end = (last: boolean) => {
    lines.push(finish(row, start(), available, lines.length === 0, last));
    row = [];
  };
  for (const [i, bar] of tune.bars.entries()) {
    const placed = placeBar(bar, i, i + pickup, order, tune);
    if (row.length > 0 && start() + x + placed.width > available) {
      end(false);
      x = 0;
    }
    row.push(placed);
    x += placed.width;
  }
  if (row.length > 0 || lines.length === 0) end(true);
  return lines;
}

function finish(bars: PlacedBar[], music: number, available: number, first: boolean, last: boolean): Line {
  const natural = bars.reduce((sum, bar) => sum + bar.width, 0);
  const room = available - music;
  const stretch = natural === 0 || (last && natural < room * 0.7) ? 1 : Math.max(1, room / natural);
  let x = music;
  for (const bar of bars) {
    bar.x = x;
    for (const s of bar.sounds) s.x = x + s.x * stretch;
    for (const beam of bar.beams) (beam.from = x + beam.from * stretch), (beam.to = x + beam.to * stretch);
    for (const t of bar.tuplets) t.x = x + t.x * stretch;
    bar.width *= stretch;
    x += bar.width;
  }
  return { bars, width: Math.max(x, available), music, showsMetre: first, curves: curvesOf(bars, x) };
}

function placeBar(bar: Bar, index: number, number: number, order: Map<Sound, number>, tune: Tune): PlacedBar {
  let x = bar.repeatBegins ? 2.4 : 1.2;
  const sounds = bar.sounds.map((sound) => {
    if (sound.accidental !== undefined) x += 1.1;
    const placed = placeSound(sound, order.get(sound) ?? 0, x, tune.header.clef);
    x += widthOf(sound, placed.dots);
    return placed;
  });
  const beams = beamsOf(sounds, tune);
  return {
    bar, index, number, x: 0, width: x + (bar.repeatEnds ? 1.4 : 0.6), sounds, beams,
    tuplets: tupletsOf(sounds),
  };
}

function widthOf(sound: Sound, dots: number): number {
  return Math.max(2, 2.2 + 0.62 * Math.log2((sound.ticks * 32) / whole)) + dots * 0.5;
}

/// A written value: its power of two (0 is a whole note) and its dots; an odd one as the next below.
export function writtenValue(ticks: number): { power: number; dots: number } {
  for (let power = -1; power <= 6; ++power) {
    const plain = whole / 2 ** power;
    if (Math.abs(ticks - plain) < 1) return { power, dots: 0 };
    if (Math.abs(ticks - plain * 1.5) < 1) return { power, dots: 1 };
    if (Math.abs(ticks - plain * 1.75) < 1) return { power, dots: 2 };
  }
  return { power: Math.min(6, Math.max(-1, Math.ceil(Math.log2(whole / ticks) - 1e-9))), dots: 0 };
}

function placeSound(sound: Sound, index: number, x: number, clef: Clef): PlacedSound {
  const { power, dots } = writtenValue(sound.drawn);
  const y = sound.kind === "rest" ? 0 : heightOf(clef, sound.step, sound.octave);
  const up = y > 0;
  const stem = sound.kind === "rest" || power < 1 ? undefined : stemEnd(y, up);
  return { sound, index, x, y, up, stem, flags: Math.max(0, power - 2), dots };
}

/// Of a note far from the staff the stem reaches the middle line.
function stemEnd(y: number, up: boolean): number {
  return up ? Math.min(y - stemLength, 0) : Math.max(y + stemLength, 0);
}

function beatOf(tune: Tune): number {
  const { beats, type } = tune.header.metre;
  const compound = beats % 3 === 0 && beats > 3 && type >= 8;
  return (whole / type) * (compound ? 3 : type >= 8 ? 2 : 1);
}

/// Short notes of one beat hang together.
function beamsOf(sounds: PlacedSound[], tune: Tune): Beam[] {
  const beat = beatOf(tune);
  const beams: Beam[] = [];
  let group: PlacedSound[] = [];
  let at = 0;
  let groupBeat = -1;
  const close = () => {
    if (group.length > 1) beams.push(...beamed(group));
    group = [];
  };
  for (const s of sounds) {
    const inBeat = Math.floor(at / beat + 1e-9);
    if (s.flags === 0 || s.sound.kind === "rest" || inBeat !== groupBeat) close();
    if (s.flags > 0 && s.sound.kind === "note") group.push(s);
    groupBeat = inBeat;
    at += s.sound.ticks;
  }
  close();
  return beams;
}

function beamed(group: PlacedSound[]): Beam[] {
  const mean = group.reduce((sum, s) => sum + s.y, 0) / group.length;
  const up = mean > 0;
  const ends = group.map((s) => stemEnd(s.y, up));
  const y = up ? Math.min(...ends) : Math.max(...ends);
  const levels = Math.max(...group.map((s) => s.flags));
  const beams: Beam[] = [];
  for (let level = 1; level <= levels; ++level) {
    const at = y + (up ? 1 : -1) * (level - 1) * 0.75;
    for (const [i, s] of group.entries()) {
      if (s.flags < level) continue;
      const next = group[i + 1];
      const both = next !== undefined && next.flags >= level;
      const before = group[i - 1];
      if (both) beams.push({ from: s.x, to: next.x, y: at, up });
      else if (!before || before.flags < level) {
        // A lone short note carries half a beam towards its neighbour.
        const side = next ? 1.1 : -1.1;
        beams.push({ from: Math.min(s.x, s.x + side), to: Math.max(s.x, s.x + side), y: at, up });
      }
    }
  }
  for (const s of group) (s.up = up), (s.stem = y), (s.flags = 0);
  return beams;
}

function tupletsOf(sounds: readonly PlacedSound[]): PlacedBar["tuplets"] {
  const found: PlacedBar["tuplets"] = [];
  let group: PlacedSound[] = [];
  for (const s of sounds) {
    if (!s.sound.tuplet) continue;
    if (s.sound.tuplet.begins) group = [];
    group.push(s);
    if (!s.sound.tuplet.ends) continue;
    const x = ((group[0]?.x ?? s.x) + s.x) / 2;
    const y = s.up ? Math.min(...group.map((g) => g.stem ?? g.y)) - 0.6 : Math.max(...group.map((g) => g.stem ?? g.y)) + 1.9;
    found.push({ x, y, number: s.sound.tuplet.actual });
  }
  return found;
}

/// Slurs and ties; one that goes on in another line ends at this one's edge.
function curvesOf(bars: readonly PlacedBar[], edge: number): Curve[] {
  const sounds = bars.flatMap((bar) => bar.sounds);
  const curves: Curve[] = [];
  const open: PlacedSound[] = [];
  for (const [i, s] of sounds.entries()) {
    const next = sounds[i + 1];
    if (s.sound.tied) {
      curves.push({ from: s.x + 0.7, to: next ? next.x - 0.7 : edge - 0.3, y: s.y + (s.up ? 0.9 : -0.9), up: !s.up });
    }
    for (let n = 0; n < s.sound.slursBegin; ++n) open.push(s);
    for (let n = 0; n < s.sound.slursEnd; ++n) {
      const first = open.pop();
      const reached = sounds.slice(first ? sounds.indexOf(first) : 0, i + 1);
      curves.push(slur(reached, first?.x ?? (sounds[0]?.x ?? 0) - 1, s.x));
    }
  }
  for (const first of open) curves.push(slur(sounds.slice(sounds.indexOf(first)), first.x, edge - 0.3));
  return curves;
}

function slur(reached: readonly PlacedSound[], from: number, to: number): Curve {
  const below = reached.every((s) => s.up);
  const y = below
    ? Math.max(...reached.map((s) => s.y)) + 1
    : Math.min(...reached.map((s) => Math.min(s.y, s.up ? (s.stem ?? s.y) : s.y))) - 1;
  return { from, to, y, up: !below };
}
