import { expect, test, vi } from "vitest";
import { Draft } from "../src/entry/draft.svelte";
import {
  barLine, freeSlur, insert, lengthText, move, pitchText, remove, setAccidental, setBow, setEnding, setField,
  setFinger, setRepeat, setRest, setSlur, setStaccato, setTie, setTriplet, setValue, type Edited,
} from "../src/entry/edits";
import { stopped } from "../src/entry/fingerboard";
import { key } from "../src/entry/key";
import { heightOf, layOut, pitchAt, signatureHeights } from "../src/entry/layout";
import { readTune, soundsOf, whole } from "../src/entry/tune";

const head = "X:1\nT:Test\nM:4/4\nL:1/8\nK:D\n";
const quarter = { ticks: whole / 4, dotted: false };

function values(text: string): number[] {
  return soundsOf(readTune(text)).map((s) => s.ticks / (whole / 8));
}

// ABC 2.1, section 4: pitch, accidentals, lengths, broken rhythm, tuplets.
test("letters, commas and apostrophes name the octaves", () => {
  const read = soundsOf(readTune(`${head}C, C c c'`)).map((s) => [s.step, s.octave]);
  expect(read).toEqual([[0, 3], [0, 4], [0, 5], [0, 6]]);
});
test("lengths multiply and divide the unit", () => {
  expect(values(`${head}A A2 A/ A// A3/2 A/4`)).toEqual([1, 2, 0.5, 0.25, 1.5, 0.25]);
});
test("broken rhythm gives to one what it takes from the other", () => {
  expect(values(`${head}A>B A<B A>>B`)).toEqual([1.5, 0.5, 0.5, 1.5, 1.75, 0.25]);
});
test("a triplet fits three in the time of two", () => {
  expect(values(`${head}(3ABc d`)).toEqual([2 / 3, 2 / 3, 2 / 3, 1]);
});
test("an accidental lasts to the bar line, the key comes back after it", () => {
  expect(soundsOf(readTune(`${head}=F F | F`)).map((s) => s.alter)).toEqual([0, 0, 1]);
});
test.each([["C", 0], ["G", 1], ["F", -1], ["Bb", -2], ["F#m", 3], ["Ador", 1], ["E minor", 1], ["Dmix", 1], ["Cb", -7], ["C#", 7]])(
  "the key %s has %i on the line of fifths", (name, fifths) => expect(key(name)?.fifths).toBe(fifths),
);

test("a bar that is too long or too short is said at once, a pickup and its answer are not", () => {
  const fits = readTune(`${head}A2 | A8 | A6 |]`);
  expect(fits.troubles).toEqual([]);
  const wrong = readTune(`${head}A8 | A9 | A7 | A8 |]`);
  expect(wrong.troubles.map((t) => [t.what, t.word, (8 * t.ticks) / whole])).toEqual([["tooLong", "2", 1], ["tooShort", "3", 1]]);
});
test("what means nothing is pointed at where it stands", () => {
  const text = `${head}A8 | ? A8 |]`;
  const [trouble] = readTune(text).troubles;
  expect(trouble?.what).toBe("unknown");
  expect(text.slice(trouble?.from, trouble?.to)).toBe("?");
});
test("repeats, endings and the end are seen", () => {
  const { bars } = readTune(`${head}|: A8 |1 A8 :|2 A8 |]`);
  expect(bars.map((b) => [b.repeatBegins, b.ending, b.repeatEnds, b.right])).toEqual([
    [true, "", false, "plain"], [false, "1", true, "final"], [false, "2", false, "final"],
  ]);
});

test("touching writes notes, closes full bars and never fills one", () => {
  let now: Edited = { text: head, at: -1 };
  for (const letter of ["A", "B", "c", "d", "e"]) now = insert(now.text, now.at, letter, quarter);
  expect(now.text).toBe(`${head}A2 B2 c2 d2 | e2`);
  expect(now.at).toBe(4);
});
test("a note is put between two others", () => {
  const { text, at } = insert(`${head}A2 c2`, 0, "B", quarter);
  expect(text).toBe(`${head}A2 B2 c2`);
  expect(at).toBe(1);
});
test("a pickup's bar line and a short bar's repeat are left as they are", () => {
  const pickup = barLine(`${head}A2`, 0);
  expect(insert(pickup.text, 0, "B", quarter).text).toBe(`${head}A2 | B2`);
  const repeat = setRepeat(`${head}A2 | A8 | A6`, 2, "end").text;
  expect(insert(repeat, 2, "B", quarter).text).toBe(`${head}A2 | A8 | A6 :| B2`);
});
test("every sign comes and goes", () => {
  const text = `${head}A2 B2 c2 d2 |`;
  const marked = [
    setBow(text, 1, "up"), setFinger(text, 1, 3), setStaccato(text, 1), setTie(text, 1), setAccidental(text, 1, -1),
  ].map((e) => e.text);
  expect(marked).toEqual([
    `${head}A2 uB2 c2 d2 |`, `${head}A2 !3!B2 c2 d2 |`, `${head}A2 .B2 c2 d2 |`, `${head}A2 B2- c2 d2 |`, `${head}A2 _B2 c2 d2 |`,
  ]);
  const undo = [
    (t: string) => setBow(t, 1, "up"), (t: string) => setFinger(t, 1, 3), (t: string) => setStaccato(t, 1),
    (t: string) => setTie(t, 1), (t: string) => setAccidental(t, 1, -1),
  ];
  expect(marked.map((t, i) => undo[i]!(t).text)).toEqual(marked.map(() => text));
});
test("a slur is drawn, made longer and freed", () => {
  const text = `${head}A2 B2 c2 d2 |`;
  const one = setSlur(text, 0);
  expect(one).toEqual({ text: `${head}(A2 B2) c2 d2 |`, at: 1 });
  const longer = setSlur(one.text, one.at);
  expect(longer.text).toBe(`${head}(A2 B2 c2) d2 |`);
  expect(freeSlur(longer.text, 0).text).toBe(text);
});
test("a note moves by steps over the octave", () => {
  expect(move(`${head}B2`, 0, 1).text).toBe(`${head}c2`);
  expect(move(`${head}C2`, 0, -1).text).toBe(`${head}B,2`);
});
test("repeats and endings are set and taken back", () => {
  const text = `${head}A8 | B8 | c8 |]`;
  const repeat = setRepeat(setRepeat(text, 1, "begin").text, 1, "end").text;
  expect(repeat).toBe(`${head}A8 |: B8 :| c8 |]`);
  expect(setRepeat(setRepeat(repeat, 1, "begin").text, 1, "end").text).toBe(text);
  expect(readTune(setEnding(text, 1, "1").text).bars[1]?.ending).toBe("1");
});
test("a field of the header is set or added before the key", () => {
  expect(setField(head, "T", "New")).toContain("T:New\n");
  expect(setField(head, "Q", "1/4=80")).toContain("Q:1/4=80\nK:D");
});
test("lengths are written as ABC writes them", () => {
  expect([8, 4, 2, 3, 1, 12].map((n) => lengthText((whole / 16) * n, whole / 8))).toEqual(["4", "2", "", "3/2", "/2", "6"]);
});

/// A plain generator, so that a failure can be repeated (Park and Miller, 1988).
function dice(seed: number): (n: number) => number {
  let state = seed;
  return (n) => (state = (state * 16807) % 2147483647) % n;
}
test("500 edits at random leave a text that reads, and as many undos the same bytes", () => {
  vi.useFakeTimers();
  const roll = dice(20260301);
  const draft = new Draft(1);
  draft.text = head;
  let steps = 0;
  for (let i = 0; i < 500; ++i) {
    const now: Edited = { text: draft.text, at: draft.at };
    const sounds = soundsOf(readTune(now.text));
    const at = sounds.length === 0 ? -1 : roll(sounds.length);
    const value = { ticks: whole / 2 ** roll(5), dotted: roll(4) === 0 };
    const next = [
      () => insert(now.text, at, pitchText(roll(7), 3 + roll(3)), value), () => insert(now.text, at, "z", value),
      () => move(now.text, at, roll(9) - 4), () => setValue(now.text, at, value), () => remove(now.text, at),
      () => setBow(now.text, at, "down"), () => setFinger(now.text, at, roll(5)), () => setSlur(now.text, at),
      () => freeSlur(now.text, at), () => setTie(now.text, at), () => setRest(now.text, at, "B"),
      () => barLine(now.text, at), () => setRepeat(now.text, at, "end"), () => setTriplet(now.text, at),
      () => setStaccato(now.text, at), () => setAccidental(now.text, at, roll(3) - 1),
    ][roll(16)]!();
    const after = soundsOf(readTune(next.text));
    expect(readTune(next.text).troubles.filter((t) => t.what === "unknown" || t.what === "badField"), next.text).toEqual([]);
    expect(Math.abs(after.length - sounds.length), next.text).toBeLessThanOrEqual(1);
    expect(next.at).toBeGreaterThanOrEqual(-1);
    if (next.text !== now.text) ++steps;
    draft.edit(next);
  }
  const last = draft.text;
  expect(steps).toBeGreaterThan(250);
  for (let i = 0; i < steps; ++i) draft.undo();
  expect(draft.text).toBe(head);
  expect(draft.canUndo).toBe(false);
  for (let i = 0; i < steps; ++i) draft.redo();
  expect(draft.text).toBe(last);
  vi.clearAllTimers();
  vi.useRealTimers();
});

test("heights and pitches are the same in both directions", () => {
  for (const clef of ["treble", "alto", "bass"] as const) {
    for (let place = 14; place < 49; ++place) {
      const [step, octave] = [place % 7, Math.floor(place / 7)];
      expect(pitchAt(clef, heightOf(clef, step, octave))).toEqual({ step, octave });
    }
  }
  expect(heightOf("treble", 6, 4)).toBe(0);
  expect(heightOf("bass", 1, 3)).toBe(0);
  expect(signatureHeights("treble", 2)).toEqual([-2, -0.5]);
  expect(signatureHeights("bass", -1)).toEqual([1]);
});
test("strings and fingers give the notes that stand there", () => {
  const d = key("D")!;
  expect(stopped("cello", 2, 3, d)).toEqual({ step: 3, octave: 3, accidental: undefined });
  expect(stopped("cello", 2, 2, d)).toEqual({ step: 3, octave: 3, accidental: 0 });
  expect(stopped("violin", 3, 2, d)).toEqual({ step: 3, octave: 4, accidental: undefined });
  expect(stopped("bass", 1, 3, d)).toBeUndefined();
});
test("a tune of 32 bars is laid out with every bar", () => {
  const bar = "(A2 B2) ^c2 d2- | d>e (3fga vB2 !1!A2 |";
  const text = head + Array.from({ length: 16 }, () => bar).join("\n");
  expect(layOut(readTune(text), 90).flatMap((l) => l.bars)).toHaveLength(32);
});
