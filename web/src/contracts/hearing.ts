/// `endpin.hearing/1`: what was measured in one recording. Times are seconds of the recording; what
/// is unknown is null, never 0.
import { addedLater, anything, dictionary, list, number, object, oneOf, orNull, text, whole, type Of } from "./shape";

export const workKinds = [
  "missed", "wrong-note", "missed-accidental", "extra", "restart", "hesitation", "early", "late",
  "uneven", "rushing", "dragging", "short-held", "not-separated", "gap-in-slur", "slur-not-played",
  "other-bar-rhythm", "flat", "sharp", "string-out-of-tune",
] as const;
export const goodKinds = [
  "held-full", "separated", "in-tune", "steady", "clean-bar", "clean-at-tempo",
] as const;

export const heardNote = object({
  onset_s: number,
  onset_uncertainty_ms: addedLater(number),
  offset_s: orNull(number),
  offset_uncertainty_ms: addedLater(number),
  midi: whole,
  intonation_cents: orNull(number),
  uncertainty_cents: orNull(number),
  deviation_ms: orNull(number),
  deviation_uncertainty_ms: addedLater(number),
  sounding_ratio: orNull(number),
  sounding_ratio_uncertainty: addedLater(number),
  gap_s: orNull(number),
  level_dbfs: orNull(number),
  vibrato: orNull(object({ rate_hz: number, extent_cents: number })),
  confidence: number,
});

export const noteHearing = object({
  index: whole,
  id: text,
  bar: text,
  pass: whole,
  onset_quarters: text,
  duration_quarters: text,
  midi: whole,
  state: oneOf("heard", "wrong", "missed", "not-reached", "uncertain"),
  heard: orNull(heardNote),
  attempts: list(object({ onset_s: number, offset_s: number })),
});

export const finding = object({
  id: text,
  kind: oneOf(...workKinds, ...goodKinds),
  tone: oneOf("work", "good"),
  from_s: number,
  to_s: number,
  bars: list(text),
  notes: list(whole),
  message: object({ key: text, args: dictionary(anything) }),
  says: text,
  evidence: dictionary(anything),
  confidence: number,
});

export const hearing = object({
  schema: oneOf("endpin.hearing/1"),
  status: oneOf("ok", "wrong-piece", "no-music", "too-short", "uncertain"),
  score: object({ sha256: orNull(text), part: text, instrument: text }),
  recording: object({ seconds: number, sample_rate_hz: number, sha256: orNull(text) }),
  reference: object({
    a4_hz: orNull(number),
    a4_uncertainty_cents: addedLater(number),
    a4_source: text,
    temperament: text,
    beat: text,
  }),
  tuning: object({
    strings: list(
      object({ string: text, intonation_cents: number, uncertainty_cents: number, notes: whole }),
    ),
  }),
  tempo: object({
    bpm: orNull(number),
    bpm_uncertainty: addedLater(number),
    beat_unit: text,
    clean_bpm: orNull(number),
    drift_percent: orNull(number),
    curve: list(list(number)),
  }),
  range: orNull(object({ from_index: orNull(whole), to_index: orNull(whole) })),
  segments: list(
    object({
      kind: oneOf("playing", "tuning", "talk", "count-in", "silence", "other"),
      item: whole,
      from_s: number,
      to_s: number,
      from_index: orNull(whole),
      to_index: orNull(whole),
    }),
  ),
  notes: list(noteHearing),
  extra: list(object({ onset_s: number, offset_s: number, midi: whole, after_index: whole })),
  restarts: list(object({ time_s: number, from_index: whole, to_index: whole })),
  bars: list(
    object({
      bar: text,
      pass: whole,
      intonation_cents: orNull(number),
      deviation_ms: orNull(number),
      sounding_ratio: orNull(number),
    }),
  ),
  findings: list(finding),
});

/// Only what belongs to the `item`-th of several scores, so that notes stand at their index.
export function ofItem<H extends Of<typeof hearing>>(whole: H, item: number): H {
  const notes = whole.notes.filter((n) => ((n as { item?: number }).item ?? 0) === item);
  return { ...whole, notes };
}

export type Hearing = Of<typeof hearing>;
export type NoteHearing = Of<typeof noteHearing>;
export type HeardNote = Of<typeof heardNote>;
export type Finding = Of<typeof finding>;
