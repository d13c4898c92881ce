import type { Piece } from "../contracts/desk";
import { say } from "../words/words.svelte";

/// What is to query in a score, in one line. The program says it in English and says "bar", as its
/// glossary does; here stands the word that the rest of the page has.
export function queried({ place, what, remedy }: Piece["warnings"][number]): string {
  const said = [place, [what, remedy].filter((s) => s !== "").join(". ")].filter((s) => s !== "").join(": ");
  return said.replace(/\bbar(s?)\b/g, `${say("piece.barWord")}$1`);
}
