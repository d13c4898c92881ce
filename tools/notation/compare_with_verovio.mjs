// node compare_with_verovio.mjs LIST_NOTES FOLDER
//
// Reads every score below FOLDER with our reader (the program endpin_list_notes) and with Verovio,
// an independent one, and compares the notes as played: onset in quarters, and sounding pitch.
// MusicXML goes to Verovio with ids on its notes; ABC as it is. Prints a line a file and a summary;
// exits 1 if any note disagrees. Left out on both sides, since the readers answer other questions:
// graces, cues, the later notes of a tie (Verovio's time map lists each written note), and the note
// after graces (Verovio moves it).
//
// A MusicXML file that disagrees is compared again without what is known to part the two readers
// (`apart` below, each with the standard's word on it); an ABC tune that disagrees is compared again
// as the MusicXML that we write of it, which has the same repeats and endings. What agrees then
// counts as explained, with its reason.
//
// Verovio is found where NODE_PATH or the working folder has it (web/node_modules here).

import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, readdirSync, statSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { extname, join, resolve } from "node:path";

const [listNotes, folder] = process.argv.slice(2);
if (!folder) {
  console.error("usage: node compare_with_verovio.mjs LIST_NOTES FOLDER");
  process.exit(2);
}
const require = createRequire(join(process.cwd(), "x.js"));
const verovio = require("verovio");
const scratch = mkdtempSync(join(tmpdir(), "compare-"));

function filesBelow(path) {
  if (!statSync(path).isDirectory()) return [path];
  return readdirSync(path).sort().flatMap((name) => filesBelow(join(path, name)));
}

/** Our notes as "onset midi", as they sound or as written, and the ids that we leave out. */
function ourNotes(file, marked, written) {
  const text = execFileSync(listNotes, [file, marked], { maxBuffer: 1 << 28 }).toString();
  const notes = [];
  const leftOut = new Set();
  for (const line of text.split("\n").filter(Boolean)) {
    const [part, id, onset, , sounding, graces, midi] = line.split(",");
    if (part === "left-out" || part === "tied" || graces !== "0") leftOut.add(id);
    else notes.push(`${Number(onset).toFixed(3)} ${written ? midi : sounding}`);
  }
  return { notes, leftOut };
}

/** Verovio's: repeats have ids that end in -rend and the pass. */
function theirNotes(toolkit, leftOut) {
  const notes = [];
  for (const event of toolkit.renderToTimemap({ includeRests: false })) {
    for (const id of event.on ?? []) {
      if (leftOut.has(id.replace(/-rend\d+$/, ""))) continue;
      const { pitch } = toolkit.getMIDIValuesForElement(id);
      if (pitch > 0) notes.push(`${event.qstamp.toFixed(3)} ${pitch}`);
    }
  }
  return notes;
}

function difference(a, b) {
  const left = new Map();
  for (const note of a) left.set(note, (left.get(note) ?? 0) + 1);
  for (const note of b) left.set(note, (left.get(note) ?? 0) - 1);
  return [...left].filter(([, count]) => count > 0).map(([note]) => note);
}

/** What parts the two readers. MusicXML 4.0 says: <duration> is the note's length, <type> its look;
 *  <transpose> is added to the written pitch; of a note with <pitch>, string and fret are fingering;
 *  an arpeggio has no time of its own. */
const apart = {
  "transposition (Verovio gives the written pitch)": (xml) =>
    xml.replace(/<transpose\b[\s\S]*?<\/transpose>/g, "<!-- $& -->"),
  "look (Verovio lets a rest last as long as it looks, and a note without a look a quarter)": (xml) =>
    xml.replace(/<note(?=[ >])(?:(?!<\/note>)[\s\S])*?<\/note>/g, (note) => {
      const type = /<type\b[^>]*>(.*?)<\/type>/.exec(note)?.[1];
      const duration = /<duration>.*?<\/duration>/.exec(note)?.[0];
      const longLook = /<rest\b/.test(note) && (type === "whole" || type === "breve");
      if (!duration || (type && !longLook)) return note;
      return /<chord\b/.test(note) ? "" : `<forward>${duration}</forward>`;
    }),
  "tablature (Verovio counts the fret and leaves the capo out)": (xml) =>
    !xml.includes("<sign>TAB</sign>") ? xml :
      xml.replace(/<sign>TAB<\/sign>/g, "<sign>G</sign>")
        .replace(/<line>5<\/line>/g, "<line>2</line>").replace(/<fret>.*?<\/fret>/g, "")
        .replace(/<staff-details>[\s\S]*?<\/staff-details>/g, ""),
  "stopped harmonics (Verovio sounds both noteheads)": (xml) =>
    xml.replace(/<notehead\b[^>]*>diamond<\/notehead>/g, "")
      .replace(/<harmonic\b[^>]*\/>|<harmonic>[\s\S]*?<\/harmonic>/g, ""),
  "arpeggios (Verovio spreads them)": (xml) => xml.replace(/<arpeggiate\b[^>]*\/>/g, ""),
};

/** What had to be taken out of `marked` until both readers agreed; null if they do not. */
function explanation(toolkit, file, marked) {
  let xml = readFileSync(marked, "utf8");
  const taken = [];
  if (file.endsWith(".abc")) {
    taken.push("its form as ABC (as MusicXML, the same tune)");
    const again = compare(toolkit, marked);
    if (again.onlyOurs?.length + again.onlyTheirs?.length === 0) return taken;
  }
  for (const [what, without] of Object.entries(apart)) {
    const plainer = without(xml);
    if (plainer === xml) continue;
    xml = plainer;
    taken.push(what);
    const plain = join(scratch, "plainer.musicxml");
    writeFileSync(plain, xml);
    const again = compare(toolkit, plain, true);
    if (!again.refused && again.onlyOurs.length + again.onlyTheirs.length === 0) return taken;
  }
  return null;
}

function compare(toolkit, file, written = false) {
  const marked = join(scratch, "marked.musicxml");
  const ours = ourNotes(file, marked, written);
  const isAbc = extname(file) === ".abc";
  toolkit.setOptions({ inputFrom: isAbc ? "abc" : "xml", xmlIdSeed: 1, expandAlways: true });
  if (!toolkit.loadData(readFileSync(isAbc ? file : marked, "utf8"))) return { refused: true };
  const theirs = theirNotes(toolkit, ours.leftOut);
  return {
    marked,
    ours: ours.notes.length,
    theirs: theirs.length,
    onlyOurs: difference(ours.notes, theirs),
    onlyTheirs: difference(theirs, ours.notes),
  };
}

verovio.module.onRuntimeInitialized = () => {
  const toolkit = new verovio.toolkit();
  const total = { files: 0, agree: 0, explained: 0, notes: 0, differ: 0 };
  const scores = filesBelow(resolve(folder)).filter((f) => /\.(musicxml|xml|mxl|abc)$/.test(f));
  for (const file of scores) {
    let result;
    try {
      result = compare(toolkit, file);
    } catch (error) {
      console.log(`${file}: ${String(error.stderr ?? error).trim().split("\n")[0]}`);
      continue;
    }
    if (result.refused) {
      console.log(`${file}: not read by Verovio`);
      continue;
    }
    total.files += 1;
    total.notes += result.ours;
    total.differ += result.onlyOurs.length;
    const same = result.onlyOurs.length + result.onlyTheirs.length === 0;
    total.agree += same ? 1 : 0;
    const reasons = same ? null : explanation(toolkit, file, result.marked);
    total.explained += reasons ? 1 : 0;
    const detail = same
      ? "agree"
      : reasons
      ? `agree but for ${reasons.join("; ")}`
      : `differ; only ours ${result.onlyOurs.slice(0, 4).join(", ")} (${result.onlyOurs.length}); ` +
        `only theirs ${result.onlyTheirs.slice(0, 4).join(", ")} (${result.onlyTheirs.length})`;
    console.log(`${file}: ${result.ours} notes, ${detail}`);
  }
  console.log(
    `${total.agree} of ${total.files} files agree, ${total.explained} more but for what is named; ` +
      `${total.notes - total.differ} of ${total.notes} notes`,
  );
  process.exit(total.agree + total.explained === total.files ? 0 : 1);
};
