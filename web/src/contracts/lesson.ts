/// `endpin.lesson/1`: what goes home for a week. And `endpin.take-home/1`, the page that carries it.
import { anything, flag, list, number, object, oneOf, orNull, text, whole, type Of } from "./shape";
import { timeline } from "./timeline";

const item = object({
  key: text,
  kind: oneOf("warm-up", "drill", "ladder", "piece", "note"),
  title: text,
  why: text,
  bars: list(text),
  ticked: flag,
});

const exercise = object({
  key: text,
  kind: text,
  title: text,
  says: text,
  bars: list(text),
  per_minute: number,
  beat_unit: text,
  timeline,
});

export const lesson = object({
  schema: oneOf("endpin.lesson/1"),
  title: text,
  composer: text,
  instrument: text,
  step: text,
  language: text,
  date: text,
  student: text,
  note: text,
  tempo: object({ goal_per_minute: number, beat_unit: text }),
  piece: object({ timeline }),
  items: list(item),
  order: list(text),
  exercises: list(exercise),
  ladder: object({
    beat_unit: text,
    rungs: list(object({ per_minute: number, clean_runs: whole, minutes: number })),
  }),
  goals: list(object({ bars: list(text), says: text })),
  cautions: text,
});

/// `endpin.bank/1`: tones of the instrument in one sound file; times are its seconds. A bowed tone
/// goes round between its loop's ends for as long as it lasts; a slurred one begins where it settled.
const tone = object({
  technique: oneOf("bowed", "plucked"),
  midi: whole,
  start_s: number,
  settled_s: number,
  loop_start_s: orNull(number),
  loop_end_s: orNull(number),
  end_s: number,
});
export const bank = object({ schema: oneOf("endpin.bank/1"), tones: list(tone) });

export const takeHome = object({
  schema: oneOf("endpin.take-home/1"),
  lesson_id: orNull(text),
  student_token: orNull(text),
  piece_sha256: text,
  lesson,
  bank: orNull(bank),
  /// A data address of the bank's sound; null without one.
  sound: orNull(text),
  /// The listening core, a data address of WebAssembly; null: the teacher listens alone.
  core: orNull(text),
  /// Kinds of work that the page may say by itself; the rest waits for the teacher.
  may_say: list(text),
});

/// `endpin.take/1`: what the page sends back beside the sound.
export const homeTake = object({
  schema: oneOf("endpin.take/1"),
  take_id: text,
  lesson_id: orNull(text),
  student_token: orNull(text),
  piece_sha256: text,
  item: text,
  bars: orNull(list(text)),
  tempo: number,
  beat_unit: text,
  recorded_at: text,
  playback: object({ track: text, start_s: number, rate: number, headphones: flag }),
  microphone: anything,
  audio_sha256: orNull(text),
  hearing: anything,
});

export type Lesson = Of<typeof lesson>;
export type Exercise = Of<typeof exercise>;
export type Bank = Of<typeof bank>;
export type BankTone = Of<typeof tone>;
export type TakeHome = Of<typeof takeHome>;
export type HomeTake = Of<typeof homeTake>;
