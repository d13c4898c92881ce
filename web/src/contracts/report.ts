/// What a report holds: `endpin.report/1`, put into the page by `endpin hear -o REPORT.html`.
import { hearing } from "./hearing";
import { list, object, oneOf, orNull, text, type Of } from "./shape";
import { timeline } from "./timeline";

export const report = object({
  schema: oneOf("endpin.report/1"),
  language: text,
  title: text,
  composer: text,
  recording: text,
  date: text,
  /// A data address of the sound as it was heard, or null where it was left out.
  sound: orNull(text),
  pages: list(text),
  timeline,
  hearing,
});

export type Report = Of<typeof report>;
