/// What the desk's interface answers (docs/api.md). Ids are positive integers; unknown is null.
import { flag, list, number, object, oneOf, orNull, partial, text, whole, type Of } from "./shape";

export const fault = object({ file: text, place: text, what: text, remedy: text, line: text });

const settings = object({
  language: text,
  retention_days: whole,
  a4_hz: orNull(number),
  set_up: flag,
  house_rules: text,
});

export const book = object({
  schema: oneOf("endpin.desk/1"),
  version: text,
  folder: text,
  settings,
  counts: object({
    students: whole, groups: whole, pieces: whole, lessons: whole, takes: whole, new_takes: whole,
  }),
  queue: object({ waiting: whole, hearing: whole }),
  network: flag,
  ready: object({ hearing: flag, engraving: flag, sound: flag, lesson: flag }),
});

export const student = object({
  id: whole,
  name: text,
  instrument: text,
  size: text,
  step: text,
  language: text,
  rules: text,
  consent: orNull(object({ by: text, on: text, note: text })),
  groups: list(whole),
  archived: flag,
  takes: whole,
  new_takes: whole,
  last_take: orNull(text),
});

export const group = object({ id: whole, name: text, students: list(whole) });

export const piece = object({
  id: whole,
  title: text,
  composer: text,
  file: text,
  parts: list(text),
  part: whole,
  instrument: text,
  step: text,
  tempo_bpm: orNull(number),
  key: text,
  metre: text,
  bars: whole,
  notes: whole,
  warnings: list(object({ place: text, what: text, remedy: text })),
  moved: flag,
  mended: flag,
  engraving: oneOf("waiting", "ready", "failed"),
  added: text,
  takes: whole,
  new_takes: whole,
});

/// One thing that a take holds: the piece is 0, an exercise of its lesson another number.
export const takeItem = object({
  item: whole,
  key: text,
  kind: text,
  title: text,
  bars: list(text),
  status: oneOf("ok", "wrong-piece", "no-music", "too-short", "uncertain"),
  playing: list(object({ from_s: number, to_s: number })),
  work: whole,
  good: whole,
});

const named = object({ id: whole, name: text });
export const take = object({
  id: whole,
  name: text,
  student: orNull(named),
  piece: orNull(object({ id: whole, title: text })),
  lesson: orNull(whole),
  item: orNull(text),
  sender: orNull(text),
  received: text,
  recorded: orNull(text),
  delete_after: text,
  state: oneOf("queued", "hearing", "heard", "failed", "unassigned"),
  progress: number,
  line: text,
  status: orNull(text),
  error: orNull(fault),
  seconds: orNull(number),
  picture: flag,
  seen: flag,
  /// The score was changed after it was heard.
  earlier_score: flag,
  work: whole,
  good: whole,
  bpm: orNull(number),
  clean_bpm: orNull(number),
  tempo_bpm: orNull(number),
});

function marking<T extends Parameters<typeof orNull>[0]>(value: T) {
  return orNull(object({ value, origin: oneOf("printed", "teacher", "proposed") }));
}
export const noteMarkings = object({
  id: text,
  bar: text,
  finger: marking(whole),
  string: marking(whole),
  bow: marking(oneOf("down", "up")),
  position: marking(text),
});
export const markings = object({
  schema: oneOf("endpin.markings-in-force/1"),
  revision: whole,
  can_undo: flag,
  can_redo: flag,
  notes: list(noteMarkings),
  notices: list(text),
  alternatives: list(
    object({
      rank: whole,
      bar: text,
      notes: list(object({ id: text, finger: orNull(whole), string: orNull(whole) })),
      says: text,
    }),
  ),
});

const writtenNote = object({
  rest: flag,
  pitch: orNull(text),
  value: text,
  dots: whole,
  quarters: text,
});
/// What was mended over a score that was read, and the notes as they are written now.
export const mends = object({
  schema: oneOf("endpin.mends/1"),
  revision: whole,
  can_undo: flag,
  can_redo: flag,
  moved: orNull(object({ fifths: whole, semitones: whole })),
  mends: list(object({ id: text, bar: text, was: orNull(writtenNote), is: orNull(writtenNote) })),
  bars: list(
    object({
      bar: text,
      lasts_quarters: text,
      needs_quarters: text,
      beat_type: whole,
      fifths: whole,
      fits: flag,
      notes: list(
        object({
          id: text, voice: whole, rest: flag, pitch: orNull(text), value: text, dots: whole,
          quarters: text, tied: flag, mended: flag,
        }),
      ),
    }),
  ),
});
/// How the piece would lie in another key; pitches sound.
export const transposed = object({
  key: text,
  fifths: whole,
  lowest: text,
  highest: text,
  outside: list(text),
  step: orNull(text),
});

export const engraving = object({
  state: oneOf("ready", "waiting", "failed"),
  pages: list(text),
});

export const sound = object({
  seconds: number,
  notes: list(object({ index: whole, onset_s: number, offset_s: number })),
  clicks: list(object({ at_s: number, strong: flag })),
  bars: list(object({ bar: text, pass: whole, start_s: number })),
});

export const decision = object({
  finding: text,
  verdict: oneOf("accepted", "reworded", "rejected"),
  words: text,
});
export const message = object({ words: text, origin: oneOf("proposed", "teacher") });
export const rubricRow = object({ name: text, mark: text, words: text });

export const proposal = object({
  key: text,
  kind: text,
  title: text,
  why: text,
  bars: list(text),
  ticked: flag,
});
export const lesson = object({
  id: whole,
  piece: object({ id: whole, title: text }),
  items: list(partial({ key: text, kind: text, title: text, why: text })),
  may_say: list(text),
  note: text,
  tempo_bpm: orNull(number),
  paper: text,
  date: text,
  due: orNull(text),
  students: list(whole),
  groups: list(whole),
  state: oneOf("making", "ready", "failed"),
  error: orNull(fault),
  files: list(text),
});

export const historyPoint = object({
  take: whole,
  recorded: text,
  piece: whole,
  bpm: orNull(number),
  clean_bpm: orNull(number),
  intonation_cents: orNull(number),
  spread_cents: orNull(number),
  deviation_ms: orNull(number),
  sounding_ratio: orNull(number),
  bars: whole,
});

export const barOfGroup = object({
  bar: text,
  takes: whole,
  students: whole,
  tripped: whole,
  intonation_cents: orNull(number),
  deviation_ms: orNull(number),
});
export const barTake = object({
  take: whole,
  student: orNull(named),
  recorded: text,
  from_s: number,
  to_s: number,
  pass: whole,
  intonation_cents: orNull(number),
  deviation_ms: orNull(number),
  findings: list(text),
});

export const remark = object({ id: whole, words: text, kind: orNull(text), language: text });

export const draft = object({
  id: whole,
  text,
  instrument: text,
  piece: orNull(whole),
  page: orNull(text),
  changed: text,
});

export type Fault = Of<typeof fault>;
export type Book = Of<typeof book>;
export type Student = Of<typeof student>;
export type Group = Of<typeof group>;
export type Piece = Of<typeof piece>;
export type Take = Of<typeof take>;
export type Alternative = Markings["alternatives"][number];
export type NoteMarkings = Of<typeof noteMarkings>;
export type Markings = Of<typeof markings>;
export type Mends = Of<typeof mends>;
export type MendBar = Mends["bars"][number];
export type MendNote = MendBar["notes"][number];
export type Transposed = Of<typeof transposed>;
export type Sound = Of<typeof sound>;
export type Decision = Of<typeof decision>;
export type Message = Of<typeof message>;
export type RubricRow = Of<typeof rubricRow>;
export type Proposal = Of<typeof proposal>;
export type TakeItem = Of<typeof takeItem>;
export type Lesson = Of<typeof lesson>;
export type HistoryPoint = Of<typeof historyPoint>;
export type BarOfGroup = Of<typeof barOfGroup>;
export type BarTake = Of<typeof barTake>;
export type Draft = Of<typeof draft>;
export type Remark = Of<typeof remark>;
