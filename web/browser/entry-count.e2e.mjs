// How many keystrokes and taps a tune of sixteen bars asks for: a traditional tune in 4/4 with a pickup,
// slurs and two bow marks, written once as text and once on the staff. The times said beside the counts
// are those of the keystroke-level model (Card, Moran and Newell, "The keystroke-level model for user
// performance time with interactive systems", Communications of the ACM 23, 1980): 0.28 s a key of an
// average typist, 1.1 s to point, 0.2 s to press, 1.35 s to think, here once a bar. They are sums, not a
// person's time.
import assert from "node:assert/strict";
import { typed } from "./demo-score.mjs";
import { openPage, startDesk } from "./desk.mjs";
import { begin, Hand, keep } from "./hand.mjs";

const seconds = { key: 0.28, tap: 1.1 + 0.2, bar: 1.35 };

function note(step, octave, value, marks = {}) {
  const dotted = marks.dotted ?? false;
  return { step, octave, value, dotted, quarters: value * (dotted ? 1.5 : 1), accidental: undefined, ...marks };
}
const [D, E, F, G, A, B] = [1, 2, 3, 4, 5, 6];
const dotted = (step, octave, more) => note(step, octave, 1, { dotted: true, ...more });
const eighth = (step, octave, more) => note(step, octave, 0.5, more);
const quarter = (step, octave, more) => note(step, octave, 1, more);
const held = (step, octave) => note(step, octave, 2, { dotted: true });
const slurred = { slurBegins: true }, ends = { slurEnds: true };

/// Auld Lang Syne, traditional, in D major for the cello; bows and slurs are ours.
function tune() {
  const lines = (from) => [
    [dotted(D, 3, from), eighth(D, 3), quarter(D, 3), quarter(F, 3)],
    [dotted(E, 3, slurred), eighth(D, 3, ends), quarter(E, 3), quarter(F, 3)],
    [dotted(D, 3), eighth(D, 3), quarter(F, 3), quarter(A, 3)],
    [held(B, 3), quarter(B, 3)],
    [dotted(A, 3, slurred), eighth(F, 3, ends), quarter(F, 3), quarter(D, 3)],
    [dotted(E, 3, slurred), eighth(D, 3, ends), quarter(E, 3), quarter(F, 3)],
    [dotted(D, 3), eighth(B, 2), quarter(B, 2), quarter(A, 2)],
  ];
  const bars = [
    [quarter(A, 2, { bow: "up" })],
    ...lines({ bow: "down" }), [held(D, 3), quarter(B, 3)],
    ...lines({}).slice(4, 6), [dotted(A, 3), eighth(F, 3), quarter(F, 3), quarter(A, 3)], [held(B, 3), quarter(B, 3)],
    ...lines({}).slice(4), [held(D, 3)],
  ];
  return { name: "Auld Lang Syne", clef: "bass", fifths: 2, metre: "4/4", instrument: "cello", bars: bars.map((notes) => ({ notes })) };
}

async function played(home, piece) {
  const { notes, bars } = await (await fetch(`${home}/api/pieces/${piece}/timeline`)).json();
  const { notes: marks } = await (await fetch(`${home}/api/pieces/${piece}/markings`)).json();
  const bows = marks.filter((m) => m.bow?.origin === "printed").map((m) => m.bow.value);
  return { heard: notes.map((n) => [n.midi, n.onset_quarters, n.duration_quarters, n.slur_id !== null]), bars: bars.length, bows };
}

/// What the tune sounds like, from the plain bars above.
function wanted(score) {
  const naturals = [0, 2, 4, 5, 7, 9, 11];
  const sharps = [F, 0].slice(0, score.fifths);
  return score.bars.flatMap((bar) => bar.notes).map((n) => 12 * (n.octave + 1) + naturals[n.step] + (sharps.includes(n.step) ? 1 : 0));
}

function report(way, counts, bars) {
  const sum = counts.keys * seconds.key + counts.taps * seconds.tap + bars * seconds.bar;
  console.log(`     ${way}: ${counts.keys} keystrokes, ${counts.taps} taps, ${bars} bars read: ${(sum / 60).toFixed(1)} min`);
  return sum;
}

async function typedIn(page, home, score) {
  await begin(page, home, score);
  const text = page.getByLabel("As text (ABC)");
  await text.focus();
  await page.keyboard.press("Control+End");
  const music = typed(score);
  await page.keyboard.type(music);
  const piece = await keep(page);
  // Write a tune, title, the text, put it in the book; instrument, key and metre stand as they are.
  return { piece, counts: { keys: score.name.length + 1 + music.length, taps: 4 } };
}

async function touchedIn(page, home, score) {
  await begin(page, home, score);
  const hand = new Hand(page, score);
  await page.getByText("Bar lines and repeats").click();
  for (const [i, bar] of score.bars.entries()) await hand.bar(bar, i + 1 === score.bars.length);
  const piece = await keep(page);
  return { piece, counts: { keys: score.name.length, taps: hand.taps + 4 } };
}

export default [
  {
    name: "a tune of sixteen bars with pickup, slurs and bows, typed and touched, asks for few enough keys and taps",
    async run() {
      const home = await startDesk({});
      const { page, complaints } = await openPage({ home, width: 1180, height: 820 });
      const score = tune();
      assert.equal(score.bars.length, 17);
      const byText = await typedIn(page, home, score);
      const byHand = await touchedIn(page, home, score);
      const heard = await played(home, byText.piece);
      assert.deepEqual(heard.heard.map(([midi]) => midi), wanted(score));
      assert.deepEqual(heard.bows, ["up", "down"]);
      assert.deepEqual(await played(home, byHand.piece), heard);
      assert.ok(report("typed", byText.counts, score.bars.length) <= 5 * 60, "typed in five minutes");
      assert.ok(report("touched", byHand.counts, score.bars.length) <= 8 * 60, "touched in eight minutes");
      assert.deepEqual(complaints, []);
    },
  },
];
