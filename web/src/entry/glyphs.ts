/// Signs of music as SMuFL 1.4 numbers them; the engraver's own face (Leipzig) holds them all.
const signs = (from: number, n: number) => Array.from({ length: n }, (_, i) => String.fromCodePoint(from + i));

export const glyph = {
  gClef: "\uE050",
  cClef: "\uE05C",
  fClef: "\uE062",
  whole: "\uE0A2",
  half: "\uE0A3",
  black: "\uE0A4",
  flat: "\uE260",
  natural: "\uE261",
  sharp: "\uE262",
  doubleSharp: "\uE263",
  doubleFlat: "\uE264",
  downBow: "\uE610",
  upBow: "\uE612",
  fermata: "\uE4C0",
  /// By power of two: whole, half, quarter, …
  rests: signs(0xe4e3, 6),
  digits: (n: number) => [...String(n)].map((d) => String.fromCodePoint(0xe080 + Number(d))).join(""),
  flag: (n: number, up: boolean) => String.fromCodePoint(0xe240 + 2 * (n - 1) + (up ? 0 : 1)),
};
