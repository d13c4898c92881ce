/// `endpin.timeline/1`: a part as it is played. Places and lengths are played quarters, written as
/// exact fractions: "3/2".
import { flag, list, number, object, oneOf, orNull, text, whole, type Of } from "./shape";

export const timelineNote = object({
  index: whole,
  id: text,
  bar: text,
  pass: whole,
  onset_quarters: text,
  duration_quarters: text,
  midi: whole,
  spelled: text,
  string: orNull(whole),
  finger: orNull(whole),
  open: flag,
  plucked: flag,
  stroke_id: orNull(whole),
  slur_id: orNull(whole),
  articulation: text,
  chord_id: orNull(whole),
});

export const timeline = object({
  schema: oneOf("endpin.timeline/1"),
  title: text,
  part: text,
  instrument: text,
  tempo: list(object({ at_quarters: text, quarter_bpm: number })),
  tempo_is_given: flag,
  beat_unit_quarters: text,
  bars: list(
    object({
      bar: text,
      written_index: whole,
      pass: whole,
      start_quarters: text,
      length_quarters: text,
      beats: whole,
      beat_type: whole,
    }),
  ),
  notes: list(timelineNote),
});

export type Timeline = Of<typeof timeline>;
export type TimelineNote = Of<typeof timelineNote>;

/// The value of an exact fraction such as "3/2" or "4".
export function quarters(fraction: string): number {
  const [above = "", below = "1"] = fraction.split("/");
  return Number(above) / Number(below);
}
