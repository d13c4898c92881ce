/// A finding in words for a child: what to do, without figures and without blame.
import type { Finding } from "../contracts/hearing";
import { count, has, list, say } from "../words/words.svelte";
import type { Plain } from "./choose";

export function sentenceOf(found: Finding | Plain): string {
  if (typeof found === "string") return say(`said.${found}`);
  const own = found.message.key.replace(/^finding\./, "said.");
  const key = [own, `said.${found.kind}`].find(has);
  return key ? say(key, { bars: where(found.bars) }) : found.says;
}

/// "Measure 4", "Measures 4 and 8".
export function where(bars: readonly string[]): string {
  return count("said.where", bars.length, { bars: list(bars) });
}
