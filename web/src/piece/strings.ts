/// Names of an instrument's strings from the highest, and whether a thumb may stop them.
const names: Record<string, readonly string[]> = {
  violin: ["E", "A", "D", "G"],
  viola: ["A", "D", "G", "C"],
  cello: ["A", "D", "G", "C"],
  bass: ["G", "D", "A", "E"],
};

/// `string` counts from 1, the highest.
export function stringName(instrument: string, string: number): string {
  return names[instrument]?.[string - 1] ?? String(string);
}

export function stringsOf(instrument: string): readonly string[] {
  return names[instrument] ?? ["1", "2", "3", "4"];
}

export function usesThumb(instrument: string): boolean {
  return instrument === "cello" || instrument === "bass";
}
