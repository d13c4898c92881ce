/// Kinds of findings that a take-home page can word for a child; the rest always waits for the teacher.
export const kindsToSay = [
  "short-held", "restart", "missed", "wrong-note", "missed-accidental", "extra", "hesitation",
  "early", "late", "uneven", "rushing", "dragging", "not-separated", "gap-in-slur",
  "slur-not-played", "other-bar-rhythm", "flat", "sharp", "string-out-of-tune",
] as const;

/// What a page says unless the teacher chose otherwise.
export const usualKindsToSay: readonly string[] = ["short-held", "restart"];
