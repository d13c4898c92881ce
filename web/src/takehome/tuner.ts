/// Which open string sounds, and how far it is off: the fundamental by the squared difference of the
/// sound and itself a period later, normalised by its mean (de Cheveigné & Kawahara 2002, equations
/// 6 and 8), for one held string at a time.

/// Below this the best lag is a pitch (the paper's absolute threshold; 0.1 to 0.15 are usual).
const sure = 0.15;

/// Hertz, or nothing where no steady pitch sounds. `samples` cover at least two periods of `lowest`.
export function pitchOf(
  samples: Float32Array,
  rate: number,
  lowest: number,
  highest: number,
): number | undefined {
  const longest = Math.min(Math.floor(rate / lowest), Math.floor(samples.length / 2));
  const shortest = Math.max(2, Math.floor(rate / highest));
  const window = samples.length - longest;
  const dips = new Float64Array(longest + 1);
  let sum = 0;
  dips[0] = 1;
  for (let lag = 1; lag <= longest; ++lag) {
    let difference = 0;
    for (let i = 0; i < window; ++i) {
      const d = (samples[i] ?? 0) - (samples[i + lag] ?? 0);
      difference += d * d;
    }
    sum += difference;
    dips[lag] = sum > 0 ? (difference * lag) / sum : 1;
  }
  for (let lag = shortest; lag < longest; ++lag) {
    if ((dips[lag] ?? 1) > sure) continue;
    while (lag + 1 < longest && (dips[lag + 1] ?? 1) < (dips[lag] ?? 1)) ++lag;
    return rate / vertex(dips, lag);
  }
  return undefined;
}

/// The lowest point of the parabola through three neighbours.
function vertex(values: Float64Array, at: number): number {
  const [a, b, c] = [values[at - 1] ?? 1, values[at] ?? 1, values[at + 1] ?? 1];
  const bend = a - 2 * b + c;
  return bend > 0 ? at + (0.5 * (a - c)) / bend : at;
}

/// Readings in a row that must agree before one is said, and how far apart they may lie: a wrong
/// "too low" may cost a string (ours: a fifth of a second, a bow's unsteadiness).
const agreeing = 4;
const apart = 20;

/// Cents in the middle of the last readings where these agree; nothing while a tone is only beginning.
export function steady(readings: readonly (number | undefined)[]): number | undefined {
  const last = readings.slice(-agreeing).filter((cents) => cents !== undefined);
  if (last.length < agreeing || Math.max(...last) - Math.min(...last) > apart) return undefined;
  return last.reduce((sum, cents) => sum + cents, 0) / last.length;
}

export interface OpenString {
  name: string;
  midi: number;
}

/// From the highest (handbook: violin G3 D4 A4 E5, viola C3 G3 D4 A4, cello C2 G2 D3 A3, bass E1 A1
/// D2 G2).
export const openStrings: Record<string, readonly OpenString[]> = {
  violin: strings(["E", 76], ["A", 69], ["D", 62], ["G", 55]),
  viola: strings(["A", 69], ["D", 62], ["G", 55], ["C", 48]),
  cello: strings(["A", 57], ["D", 50], ["G", 43], ["C", 36]),
  bass: strings(["G", 43], ["D", 38], ["A", 33], ["E", 28]),
};

function strings(...pairs: [string, number][]): OpenString[] {
  return pairs.map(([name, midi]) => ({ name, midi }));
}

export function hertzOf(midi: number, a4 = 440): number {
  return a4 * 2 ** ((midi - 69) / 12);
}

/// Cents of `hertz` from `midi`.
export function centsFrom(midi: number, hertz: number, a4 = 440): number {
  return 1200 * Math.log2(hertz / hertzOf(midi, a4));
}
