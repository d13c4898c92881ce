// A demo tune as plain bars, read from its MusicXML by this test alone: what typing and touching are
// compared with comes from no reader of ours.
import { readFileSync } from "node:fs";
import { demo } from "./files.mjs";

const kinds = { whole: 4, half: 2, quarter: 1, eighth: 0.5, "16th": 0.25 };
const letters = "CDEFGAB";

function inside(xml, tag) {
  return new RegExp(`<${tag}>([^<]*)</${tag}>`).exec(xml)?.[1];
}

function noteOf(xml) {
  const dotted = xml.includes("<dot/>");
  return {
    step: letters.indexOf(inside(xml, "step")),
    octave: Number(inside(xml, "octave")),
    accidental: { sharp: 1, flat: -1, natural: 0 }[inside(xml, "accidental")],
    value: kinds[inside(xml, "type")],
    dotted,
    quarters: kinds[inside(xml, "type")] * (dotted ? 1.5 : 1),
    tied: /<tie type="start"/.test(xml),
    slurBegins: /<slur [^>]*type="start"/.test(xml),
    slurEnds: /<slur [^>]*type="stop"/.test(xml),
    bow: xml.includes("<down-bow/>") ? "down" : xml.includes("<up-bow/>") ? "up" : undefined,
    finger: inside(xml, "fingering"),
  };
}

export function demoScore(name) {
  const xml = readFileSync(demo(`pieces/${name}.musicxml`), "utf8");
  const bars = [...xml.matchAll(/<measure[\s\S]*?<\/measure>/g)].map(([bar]) => ({
    notes: [...bar.matchAll(/<note[\s\S]*?<\/note>/g)].map(([note]) => noteOf(note)),
    repeatBegins: bar.includes('<repeat direction="forward"/>'),
    repeatEnds: bar.includes('<repeat direction="backward"/>'),
    ending: /<ending number="(\d)" type="start"/.exec(bar)?.[1],
  }));
  const clef = { G: "treble", C: "alto", F: "bass" }[inside(xml, "sign")];
  return {
    name, bars, clef,
    fifths: Number(inside(xml, "fifths")),
    metre: `${inside(xml, "beats")}/${inside(xml, "beat-type")}`,
    instrument: { treble: "violin", alto: "viola", bass: "cello" }[clef],
  };
}

export const majors = ["F", "C", "G", "D", "A"];

function typedNote(n) {
  const sign = n.accidental === 1 ? "^" : n.accidental === -1 ? "_" : n.accidental === 0 ? "=" : "";
  const letter = n.octave > 4
    ? letters[n.step].toLowerCase() + "'".repeat(n.octave - 5)
    : letters[n.step] + ",".repeat(4 - n.octave);
  const eighths = n.quarters * 2;
  const length = eighths === 1 ? "" : Number.isInteger(eighths) ? String(eighths) : `${eighths * 2}/2`;
  return [
    n.slurBegins ? "(" : "", n.bow ? { down: "v", up: "u" }[n.bow] : "", n.finger ? `!${n.finger}!` : "",
    sign, letter, length, n.tied ? "-" : "", n.slurEnds ? ")" : "",
  ].join("");
}

/// The music as one would type it.
export function typed(score) {
  return score.bars
    .map((bar, i) => {
      const begin = bar.repeatBegins ? "|: " : bar.ending ? `[${bar.ending} ` : "";
      const next = score.bars[i + 1];
      const end = bar.repeatEnds ? " :|" : !next ? " |]" : next.repeatBegins ? "" : " |";
      return begin + bar.notes.map(typedNote).join(" ") + end;
    })
    .join("\n");
}
