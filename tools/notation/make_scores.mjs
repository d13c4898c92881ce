// node make_scores.mjs FOLDER COUNT
//
// Writes COUNT ordinary scores by chance into FOLDER, half MusicXML and half ABC, made without any
// of our C++: metres, keys, dots, triplets, ties, chords, graces, two voices, pickups, repeats,
// endings, D.C. al Fine and D.S. al Coda. The same COUNT gives the same scores.

import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";

const [folder, count] = process.argv.slice(2);
mkdirSync(folder, { recursive: true });

/** A small generator with a seed (Park and Miller, 1988). */
function chanceFrom(seed) {
  let state = (seed * 7919 + 17) % 2147483647 || 1;
  const next = () => (state = (state * 16807) % 2147483647) / 2147483647;
  return { below: (n) => Math.floor(next() * n), percent: (p) => next() * 100 < p };
}

// A quarter has 12 divisions. Values: divisions, MusicXML type, dots.
const values = [[3, "16th", 0], [6, "eighth", 0], [9, "eighth", 1], [12, "quarter", 0],
  [18, "quarter", 1], [24, "half", 0], [36, "half", 1], [48, "whole", 0]];
const metres = [[4, 4], [3, 4], [2, 4], [6, 8], [2, 2], [9, 8]];
const steps = "CDEFGAB";

function pitch(chance) {
  return { step: steps[chance.below(7)], octave: 3 + chance.below(3),
    alter: chance.percent(15) ? chance.below(3) - 1 : null };
}

/** Notes that fill `length` divisions; each its pitches, or none for a rest. */
function barNotes(chance, length) {
  const notes = [];
  for (let left = length; left > 0;) {
    if (left >= 12 && chance.percent(12)) {
      for (let i = 0; i < 3; ++i) {
        notes.push({ duration: 4, type: "eighth", dots: 0, triplet: i, pitches: [pitch(chance)] });
      }
      left -= 12;
      continue;
    }
    const fitting = values.filter(([duration]) => duration <= left && left % 3 === 0);
    const [duration, type, dots] = fitting[chance.below(fitting.length)];
    const pitches = chance.percent(10) ? [] : [pitch(chance)];
    if (pitches.length && chance.percent(10)) {
      pitches.push({ ...pitches[0], octave: pitches[0].octave + 1 });
    }
    notes.push({ duration, type, dots, pitches, grace: chance.percent(5) && pitches.length > 0 });
    left -= duration;
  }
  return notes;
}

/** Ties some notes to the next by giving that the same pitches. */
function addTies(chance, bars) {
  for (const [i, bar] of bars.entries()) {
    if (bar.repeatEnd || bar.jump || bar.ending || bars[i + 1]?.ending) continue;
    const last = bar.notes.at(-1);
    const first = bars[i + 1]?.notes[0];
    if (!first?.pitches.length || !last.pitches.length || first.grace || !chance.percent(25)) continue;
    if (bars[i + 1].repeatStart) continue;
    first.pitches = last.pitches.map((p) => ({ ...p }));
    last.tieStart = first.tieStop = true;
  }
}

function piece(seed) {
  const chance = chanceFrom(seed);
  const metre = metres[chance.below(metres.length)];
  const full = (48 * metre[0]) / metre[1];
  const bars = [];
  const bar = (more = {}) => bars.push({ notes: barNotes(chance, full), ...more });
  const pickup = chance.percent(30);
  if (pickup) bars.push({ notes: barNotes(chance, 12), pickup: true });
  const form = ["plain", "repeat", "endings", "capo", "coda"][chance.below(5)];
  if (form === "plain") for (let i = 0; i < 6; ++i) bar();
  if (form === "repeat") {
    bar(), bar({ repeatEnd: true }), bar({ repeatStart: true }), bar({ repeatEnd: true }), bar();
  }
  if (form === "endings") {
    bar({ repeatStart: true }), bar(), bar({ ending: 1, repeatEnd: true }), bar({ ending: 2 }), bar();
  }
  if (form === "capo") bar(), bar({ fine: true }), bar(), bar({ jump: "capo" });
  if (form === "coda") {
    bar(), bar({ segno: true }), bar({ toCoda: true }), bar({ jump: "segno" }), bar({ coda: true });
  }
  addTies(chance, bars);
  const second = chance.percent(30) ? bars.map((b) => (b.pickup ? [] : barNotes(chance, full))) : null;
  return { bars, second, metre, fifths: chance.below(7) - 3 };
}

function xmlNote(note, p, more, voice) {
  const chord = p > 0 ? "<chord/>" : "";
  const sounding = note.pitches[p];
  const what = sounding
    ? `<pitch><step>${sounding.step}</step>${sounding.alter === null ? "" : `<alter>${sounding.alter}</alter>`}` +
      `<octave>${sounding.octave}</octave></pitch>`
    : "<rest/>";
  const ties = (note.tieStop ? '<tie type="stop"/>' : "") + (note.tieStart ? '<tie type="start"/>' : "");
  const ratio = note.triplet === undefined ? "" : "<time-modification><actual-notes>3</actual-notes>" +
    "<normal-notes>2</normal-notes></time-modification>";
  const tuplet = note.triplet === 0 ? '<tuplet type="start"/>' : note.triplet === 2 ? '<tuplet type="stop"/>' : "";
  const tied = ties.replaceAll("<tie ", "<tied ");
  return `<note>${more}${chord}${what}${more ? "" : `<duration>${note.duration}</duration>${ties}`}` +
    `<voice>${voice}</voice><type>${note.type}</type>${"<dot/>".repeat(more ? 0 : note.dots)}${ratio}` +
    (tied || tuplet ? `<notations>${tied}${tuplet}</notations>` : "") + "</note>\n";
}

function xmlNotes(notes, voice) {
  let text = "";
  for (const note of notes) {
    if (note.grace) text += xmlNote({ ...note, tieStart: false, tieStop: false }, 0, "<grace/>", voice);
    for (let p = 0; p < Math.max(1, note.pitches.length); ++p) text += xmlNote(note, p, "", voice);
  }
  return text;
}

const words = (text, sound) =>
  `<direction><direction-type><words>${text}</words></direction-type><sound ${sound}/></direction>\n`;

function musicXml({ bars, second, metre, fifths }) {
  let text = '<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Cello</part-name>' +
    '</score-part></part-list><part id="P1">\n';
  for (const [i, bar] of bars.entries()) {
    text += `<measure number="${i}"${bar.pickup ? ' implicit="yes"' : ""}>\n`;
    if (bar.repeatStart || bar.ending) {
      text += '<barline location="left">' + (bar.ending ? `<ending number="${bar.ending}" type="start"/>` : "") +
        (bar.repeatStart ? '<repeat direction="forward"/>' : "") + "</barline>\n";
    }
    if (i === 0) {
      text += `<attributes><divisions>12</divisions><key><fifths>${fifths}</fifths></key><time><beats>${metre[0]}` +
        `</beats><beat-type>${metre[1]}</beat-type></time><clef><sign>F</sign><line>4</line></clef></attributes>\n`;
    }
    if (bar.segno) text += '<direction><direction-type><segno/></direction-type><sound segno="s"/></direction>\n';
    if (bar.coda) text += '<direction><direction-type><coda/></direction-type><sound coda="c"/></direction>\n';
    text += xmlNotes(bar.notes, 1);
    const length = bar.notes.reduce((sum, note) => sum + note.duration, 0);
    if (second?.[i].length) {
      text += `<backup><duration>${length}</duration></backup>\n` + xmlNotes(second[i], 2);
    }
    if (bar.fine) text += words("Fine", 'fine="yes"');
    if (bar.jump === "capo") text += words("D.C. al Fine", 'dacapo="yes"');
    if (bar.jump === "segno") text += words("D.S. al Coda", 'dalsegno="s"');
    if (bar.toCoda) text += words("To Coda", 'tocoda="c"');
    if (bar.repeatEnd || bar.ending) {
      text += '<barline location="right">' +
        (bar.ending ? `<ending number="${bar.ending}" type="${bar.ending === 1 ? "stop" : "discontinue"}"/>` : "") +
        (bar.repeatEnd ? '<repeat direction="backward"/>' : "") + "</barline>\n";
    }
    text += "</measure>\n";
  }
  return text + "</part></score-partwise>\n";
}

/**
 * Without ties and graces, which the comparison can leave out by id only.
 * Accidentals are written on every note, so that no rule of how far they reach is asked.
 */
function abcPitch(p) {
  const sign = { "-1": "_", 0: "=", 1: "^" }[p.alter ?? 0];
  return sign + (p.octave >= 5 ? p.step.toLowerCase() + "'".repeat(p.octave - 5) : p.step + ",".repeat(4 - p.octave));
}

function abcNotes(notes) {
  return notes.map((note) => {
    const units = note.triplet === undefined ? note.duration / 3 : 2;
    const length = units === 1 ? "" : units;
    const heads = note.pitches.map((p) => abcPitch(p) + length);
    const what = heads.length === 0 ? "z" + length : heads.length === 1 ? heads[0] : `[${heads.join("")}]`;
    return (note.triplet === 0 ? "(3" : "") + what;
  }).join(" ");
}

function abc({ bars, metre }, number) {
  let text = `X:${number}\nT:By chance ${number}\nM:${metre[0]}/${metre[1]}\nL:1/16\nK:C\n`;
  for (const [i, bar] of bars.entries()) {
    const next = bars[i + 1];
    if (bar.repeatStart) text += i === 0 ? "|:" : "";
    text += abcNotes(bar.notes);
    text += bar.repeatEnd ? ":|" : next ? (next.repeatStart ? "|:" : "|") : "|]";
    if (bar.repeatEnd && next?.repeatStart) text += "|:";
    if (next?.ending) text += next.ending === 1 ? "1 " : "2 ";
    text += i % 4 === 3 ? "\n" : " ";
  }
  return text + "\n";
}

for (let i = 1; i <= Number(count); ++i) {
  const made = piece(i);
  const plainForm = made.bars.every((b) => !b.jump);
  const asAbc = i % 2 === 0 && plainForm;
  const name = join(folder, `chance-${String(i).padStart(4, "0")}.${asAbc ? "abc" : "musicxml"}`);
  writeFileSync(name, asAbc ? abc(made, i) : musicXml(made));
}
