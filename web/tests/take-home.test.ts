import { execFileSync } from "node:child_process";
import { mkdtempSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { expect, test, vi } from "vitest";
import { goodKinds, workKinds, type Finding, type Hearing, type NoteHearing } from "../src/contracts/hearing";
import { choose } from "../src/takehome/choose";
import { placeIn } from "../src/takehome/follow.svelte";
import { dateOf, lastDays } from "../src/takehome/dates";
import { drawnHearing, lanesFor } from "../src/takehome/drawing";
import { advise, slower } from "../src/takehome/rung";
import { sentenceOf, where } from "../src/takehome/said";
import { plan } from "../src/takehome/plan";
import { centsFrom, hertzOf, openStrings, pitchOf, steady } from "../src/takehome/tuner";
import { crc32, zip } from "../src/takehome/zip";
import { day } from "../src/words/words.svelte";
import { timeline } from "./part";

/// The check value of CRC-32 (ISO 3309): of the digits 1 to 9.
test("the check sum of a zip entry is the standard's", () => {
  expect(crc32(new TextEncoder().encode("123456789"))).toBe(0xcbf43926);
});

test("another program opens what is sent back", async () => {
  const bytes = new TextEncoder().encode("a take");
  const archive = zip([{ name: "take.json", bytes }, { name: "takeé.wav", bytes: new Uint8Array(3000) }]);
  const file = `${mkdtempSync(`${tmpdir()}/zip-`)}/take.zip`;
  writeFileSync(file, new Uint8Array(await archive.arrayBuffer()));
  const code = "import sys,zipfile; z=zipfile.ZipFile(sys.argv[1]); assert z.testzip() is None; print(z.read('take.json').decode(), len(z.read('takeé.wav')))";
  expect(execFileSync("python3", ["-c", code, file], { encoding: "utf8" }).trim()).toBe("a take 3000");
});

test("a bar of beats is counted in, and the part follows at the tempo asked for", () => {
  const planned = plan(timeline, { tempo: 120, countIn: true, click: false, model: true });
  expect(planned.before).toBe(4);
  expect(planned.secondsPerQuarter).toBe(0.5);
  expect(planned.events.filter((e) => e.kind === "click").map((e) => e.at)).toEqual([-4, -3, -2, -1]);
  expect(planned.events.filter((e) => e.kind === "note").map((e) => e.at)).toEqual([0, 1.5, 2, 4, 5.5, 6, 8]);
});

test("a loop holds its own bars only, beginning at once", () => {
  const planned = plan(timeline, { tempo: 60, bars: { from: "2", to: "2" }, countIn: false, click: true, model: true });
  expect([planned.from, planned.to]).toEqual([8, 12]);
  expect(planned.events.filter((e) => e.kind === "click").map((e) => e.at)).toEqual([0, 1, 2, 3]);
  expect(planned.events.filter((e) => e.kind === "note")).toHaveLength(1);
});

/// Handbook values of the open strings, e.g. cello C2 65.41 Hz and bass E1 41.20 Hz.
test.each(["violin", "viola", "cello", "bass"])("every open string of the %s is measured to a cent", (name) => {
  for (const string of openStrings[name]!) {
    for (const off of [-30, 0, 12]) {
      const hertz = hertzOf(string.midi) * 2 ** (off / 1200);
      const sound = Float32Array.from({ length: 8192 }, (_, i) => {
        const t = (2 * Math.PI * hertz * i) / 48000;
        return 0.2 * Math.sin(t) + 0.35 * Math.sin(2 * t) + 0.25 * Math.sin(3 * t + 1);
      });
      const found = pitchOf(sound, 48000, hertz / 1.4, hertz * 1.4);
      expect(centsFrom(string.midi, found!), `${string.name} ${off}`).toBeCloseTo(off, 0);
    }
  }
});

test("noise has no pitch", () => {
  let seed = 1;
  const noise = Float32Array.from({ length: 8192 }, () => {
    seed = (seed * 1103515245 + 12345) % 2147483648;
    return seed / 1073741824 - 1;
  });
  expect(pitchOf(noise, 48000, 46, 92)).toBeUndefined();
});

function finding(kind: Finding["kind"], tone: Finding["tone"], confidence: number): Finding {
  return { id: kind, kind, tone, from_s: 0, to_s: 1, bars: ["1"], notes: [0], message: { key: kind, args: {} }, says: kind, evidence: {}, confidence };
}

const heardNotes = (...states: NoteHearing["state"][]) =>
  states.map((state, index) => ({ index, state, heard: null }) as unknown as NoteHearing);
function hearingOf(findings: Finding[], ...states: NoteHearing["state"][]): Hearing {
  return { status: "ok", findings, restarts: [], tempo: { bpm: 61, beat_unit: "1/4" }, notes: heardNotes(...states) } as unknown as Hearing;
}

test("one good thing and at most two to work on are said, and only what the teacher allows", () => {
  const findings = [
    finding("flat", "work", 0.99), finding("short-held", "work", 0.9), finding("restart", "work", 0.95),
    finding("late", "work", 0.97), finding("steady", "good", 0.8), finding("in-tune", "good", 0.9),
  ];
  const said = choose(hearingOf(findings), ["short-held", "restart"]);
  expect((said.good as Finding).kind).toBe("in-tune");
  expect(said.work.map((f) => f.kind)).toEqual(["restart", "short-held"]);
});

test("with no good finding something plainer is praised, and only if it is true", () => {
  expect(choose(hearingOf([], "heard", "heard"), []).good).toBe("every-note");
  expect(choose(hearingOf([], "heard", "missed", "heard"), []).good).toBe("to-the-end");
  expect(choose(hearingOf([], "heard", "uncertain"), []).good).toBeUndefined();
  expect(choose(hearingOf([], "not-reached", "not-reached"), []).good).toBeUndefined();
});

test("of a recording that was not heard clearly nothing is said", () => {
  const said = choose({ status: "uncertain", findings: [finding("flat", "work", 1)] } as Hearing, ["flat"]);
  expect(said).toEqual({ good: undefined, work: [] });
});

test("a child reads what to do and where, and no figure of what was measured", () => {
  expect(sentenceOf(finding("short-held", "work", 1))).toBe("Measure 1: hold the long note right to its end.");
  const row = { ...finding("wrong-note", "work", 1), message: { key: "finding.wrong-note.row", args: {} } };
  expect(sentenceOf(row)).toBe("Measure 1: look at these notes again; other ones sounded.");
  expect(where(["4", "8"])).toBe("Measures 4 and 8");
  for (const kind of [...workKinds, ...goodKinds]) {
    expect(sentenceOf(finding(kind, "work", 1)).replace("Measure 1", ""), kind).not.toMatch(/\d|{/);
  }
});

test("the ladder goes up after a clean take, down after two stops, and else it stays", () => {
  const rungs = [50, 60, 72];
  const stops = [finding("restart", "work", 1), finding("hesitation", "work", 1)];
  expect(advise(rungs, 60, hearingOf([], "heard", "heard"), "1/4")).toEqual({ way: "up", tempo: 72 });
  expect(advise(rungs, 60, hearingOf(stops, "heard"), "1/4")).toEqual({ way: "down", tempo: 50 });
  expect(advise(rungs, 60, hearingOf([finding("late", "work", 1)], "heard"), "1/4")).toEqual({ way: "stay", tempo: 60 });
  expect(advise(rungs, 72, hearingOf([], "heard"), "1/4")).toEqual({ way: "stay", tempo: 72 });
  expect(advise(rungs, 50, hearingOf(stops, "heard"), "1/4")).toEqual({ way: "stay", tempo: 50 });
  expect(advise(rungs, 64, hearingOf([], "heard"), "1/4")).toBeUndefined();
  expect(advise(rungs, 0, hearingOf([], "heard"), "1/4")).toEqual({ way: "up", tempo: 72 });
  expect(advise(rungs, 0, hearingOf([], "heard"), "3/8")).toBeUndefined();
  expect(slower(rungs, 72)).toBe(60);
  expect(slower([], 80)).toBe(68);
});

test("what is left to the teacher is not drawn either", () => {
  const hearing = hearingOf([finding("flat", "work", 1), finding("short-held", "work", 0.9)], "wrong", "heard");
  const drawn = drawnHearing(hearing, ["short-held"]);
  expect([...lanesFor(["short-held", "restart"])]).toEqual(["length"]);
  expect([...lanesFor(["flat", "late"])].sort()).toEqual(["length", "pitch", "time"]);
  expect(drawn.notes.map((n) => n.state)).toEqual(["not-reached", "heard"]);
  expect(drawn.findings.map((f) => f.kind)).toEqual(["short-held"]);
});

test("a follower's place goes on with the tempo heard, but never into a note that has not sounded", () => {
  const at = { note: 3, onset: 10, confidence: 1, tempo: 60 };
  expect(placeIn(4, 2, { ...at, understood: 10 })).toBe(4);
  expect(placeIn(4, 2, { ...at, understood: 11 })).toBe(5);
  expect(placeIn(4, 2, { ...at, understood: 20 })).toBeCloseTo(5.9);
  expect(placeIn(4, 2, { ...at, understood: 12, tempo: 0 })).toBe(4);
});

/// In New York 8 p.m. on 1 March is 2 March in Greenwich; the clocks went forward on 8 March 2026 (IANA
/// time zone database).
test("what is practised in the evening belongs to that evening, wherever the phone is", () => {
  vi.stubEnv("TZ", "America/New_York");
  try {
    expect(dateOf(new Date("2026-03-02T01:00:00Z"))).toBe("2026-03-01");
    expect(lastDays(3, new Date("2026-03-09T04:30:00Z"))).toEqual(["2026-03-07", "2026-03-08", "2026-03-09"]);
    expect(day("2026-03-01")).toBe("Mar 1");
    expect(day("2026-03-02T01:00:00Z")).toBe("Mar 1");
  } finally {
    vi.unstubAllEnvs();
  }
});

test("a string is called low or high only once its tone has settled", () => {
  expect(steady([-30, -31, -29])).toBeUndefined();
  expect(steady([-90, -60, -35, -30])).toBeUndefined();
  expect(steady([undefined, -30, -31, -29, -30])).toBeCloseTo(-30);
  expect(steady([-30, -31, undefined, -30])).toBeUndefined();
});
