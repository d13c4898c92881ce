/// `endpin.study/1`: what was found in a piece, with sentences in the language asked for.
import { flag, list, number, object, oneOf, orNull, text, whole, type Of } from "./shape";

const sentence = orNull(object({ key: text, says: text }));

export const study = object({
  schema: oneOf("endpin.study/1"),
  key: object({ signature_agrees: flag, name: sentence }),
  metre: object({ beats: whole, beat_type: whole, pickup_quarters: text, changes: flag }),
  values: list(object({ name: text, notes: whole, rests: whole, clicks: text })),
  counting: object({
    hardest: orNull(whole),
    bars: list(
      object({
        bar: text,
        syllables: list(object({ says: text, kind: oneOf("note", "held", "rest"), notes: list(text) })),
      }),
    ),
  }),
  form: object({
    map: text,
    phrases: list(object({ letter: text, variant: whole, from: text, to: text })),
  }),
  range: orNull(object({ lowest: text, highest: text })),
  altered: list(
    object({
      pitch: text,
      name: text,
      count: whole,
      in_signature: flag,
      bars: list(text),
      notes: list(text),
      string: orNull(whole),
      finger: orNull(whole),
      from_nut_mm: orNull(number),
    }),
  ),
  twins: list(
    object({ earlier: text, later: text, notes: list(text), likeness: number, message: sentence }),
  ),
  spots: list(object({ kind: text, bar: text, notes: list(text), message: sentence })),
  step: object({
    id: text,
    name: text,
    reasons: list(object({ message: sentence, bars: list(text), notes: list(text) })),
  }),
  tempo: object({ beat_unit_quarters: text, target: number, ladder: list(number) }),
});

export type Study = Of<typeof study>;
