import type { Piece } from "../contracts/desk";
import { say } from "../words/words.svelte";

/// What is to query in a score, in one line: what and in which bar, and the file's line after it. The
/// program says it in English and says "bar", as its glossary does; here stands the word that the rest
/// of the page has.
export function queried({ place, what, remedy }: Piece["warnings"][number]): string {
  const inLine = /^\d+$/.test(place);
  const sentences = [[inLine ? "" : place, what].filter((s) => s !== "").join(": "), remedy];
  const said = sentences.filter((s) => s !== "").join(". ").replace(/\bbar(s?)\b/g, `${say("piece.barWord")}$1`);
  const begun = said.charAt(0).toUpperCase() + said.slice(1);
  return inLine ? `${begun} (${say("piece.inLine", { n: place })})` : begun;
}
