// Makes the demo's takes: each tune as `endpin play` plays it, with faults put in on purpose.
// Usage: node demo/make-takes.mjs ENDPIN_PROGRAM
// The faults are put into a copy of the score, and the copy is played.
import { execFileSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const demo = dirname(fileURLToPath(import.meta.url));
const endpin = process.argv[2];
if (!endpin) {
  console.error('usage: node demo/make-takes.mjs ENDPIN_PROGRAM');
  process.exit(2);
}

const note = (xml, id) => {
  const found = xml.match(new RegExp(` *<note id="${id}">.*</note>\n`));
  if (!found) throw new Error(`no note ${id}`);
  return found[0];
};
const changed = (xml, id, change) => xml.replace(note(xml, id), change(note(xml, id)));

/** The pitch moved to another alteration, as when a sharp is forgotten. */
const altered = (alter) => (text) =>
  text.replace(/<alter>.*<\/alter>/, alter === 0 ? '' : `<alter>${alter}</alter>`);

/** A half note let go after a quarter. */
const cutShort = (text) => {
  const half = text.match(/<duration>16<\/duration>/);
  if (!half) throw new Error('not a half note');
  const quarter = text.replace('<duration>16</duration>', '<duration>8</duration>')
    .replace('<type>half</type>', '<type>quarter</type>');
  return quarter + '      <note><rest/><duration>8</duration><voice>1</voice><type>quarter</type></note>\n';
};

const measure = (xml, number) => {
  const found = xml.match(new RegExp(`    <measure number="${number}"[^]*?</measure>\n`));
  if (!found) throw new Error(`no bar ${number}`);
  return found[0];
};

/** One bar played with the content of another. */
const asBar = (xml, number, other) => xml.replace(measure(xml, number),
  measure(xml, other).replace(`number="${other}"`, `number="${number}"`));

/** After bar `last` the player stops for a bar and goes on from bar `from`. */
const stopAndGoBack = (xml, last, from, restBeats) => {
  let again = `    <measure number="${last}a"><note><rest measure="yes"/><duration>${8 * restBeats}</duration><voice>1</voice></note></measure>\n`;
  for (let n = from; n <= last; n += 1) again += measure(xml, n).replace(/ id="[^"]*"/g, '');
  return xml.replace(measure(xml, last), measure(xml, last) + again);
};

/** Every repeat left out, and with it the bar of the first ending. */
const withoutRepeats = (xml, firstEnding) => xml.replace(measure(xml, firstEnding), '')
  .replace(/<repeat [^>]*\/>/g, '').replace(/<ending [^>]*\/>/g, '');

const takes = [
  {
    file: 'ilva-ode-to-joy.opus', student: 'Ilva', piece: 'ode-to-joy', tempo: 84,
    put_in: 'Bars 4 and 8: the last note is let go after one beat. Bar 5: F natural for the first F sharp. Bar 10 is played as bar 9.',
    change: (xml) => {
      let played = asBar(xml, 10, 9);
      for (const id of ['n15', 'n30']) played = changed(played, id, cutShort);
      return changed(played, 'n16', altered(0));
    },
  },
  {
    file: 'teodor-new-britain.opus', student: 'Teodor', piece: 'new-britain', tempo: 80,
    put_in: 'Nothing: it is played as written.', change: (xml) => xml,
  },
  {
    file: 'teodor-new-britain-second.opus', student: 'Teodor', piece: 'new-britain', tempo: 76,
    put_in: 'After bar 6 the player stops and goes on from bar 5.', change: (xml) => stopAndGoBack(xml, 6, 5, 3),
  },
  {
    file: 'marit-greensleeves.opus', student: 'Marit', piece: 'greensleeves', tempo: 48,
    put_in: 'Bars 3 and 4: G natural for G sharp. The repeats are left out.',
    change: (xml) => {
      let played = withoutRepeats(xml, 8);
      for (const id of ['n15', 'n18']) played = changed(played, id, altered(0));
      return played;
    },
  },
];

const scratch = mkdtempSync(join(tmpdir(), 'endpin-demo-'));
mkdirSync(join(demo, 'takes'), { recursive: true });
try {
  for (const take of takes) {
    const xml = take.change(readFileSync(join(demo, 'pieces', `${take.piece}.musicxml`), 'utf8'));
    const score = join(scratch, 'played.musicxml');
    writeFileSync(score, xml);
    const out = join(demo, 'takes', take.file);
    execFileSync(endpin, ['play', score, '-o', out, '--tempo', String(take.tempo)], { stdio: 'inherit' });
    console.log(`${take.file}: ${take.put_in}`);
  }
} finally {
  rmSync(scratch, { recursive: true });
}

const book = JSON.parse(readFileSync(join(demo, 'students.json'), 'utf8'));
book.takes = takes.map(({ file, student, piece, put_in }) => (
  { file: `takes/${file}`, student, piece: `pieces/${piece}.musicxml`, put_in }));
writeFileSync(join(demo, 'students.json'), `${JSON.stringify(book, null, 2)}\n`);
