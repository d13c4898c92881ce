/// Names of a lesson's sounds, as its `lesson.json` says them.
import { address } from "../api/client";
import { checked, list, object, text } from "../contracts/shape";
import { say, term } from "../words/words.svelte";

const shape = object({ exercises: list(object({ key: text, title: text })) });

/// By the exercise's key; empty where the file cannot be read.
export async function titles(lesson: number): Promise<ReadonlyMap<string, string>> {
  try {
    const answer = await fetch(address(`/lessons/${lesson}/files/lesson.json`));
    const known = checked(shape, await answer.json(), "lesson.json");
    return new Map(known.exercises.map((e) => [e.key, e.title]));
  } catch {
    return new Map();
  }
}

/// "piece-click.opus" is the piece with the click; "warm-up-scale.opus" has its exercise's title.
export function nameOfSound(file: string, known: ReadonlyMap<string, string>): string {
  const stem = file.replace(/\.\w+$/, "");
  const exact = known.get(stem);
  if (exact !== undefined) return exact;
  const all = [...known.keys(), "piece"].sort((a, b) => b.length - a.length);
  const key = all.find((k) => stem.startsWith(`${k}-`));
  if (key === undefined) return stem;
  const whole = key === "piece" ? say("item.piece") : (known.get(key) ?? key);
  return `${whole}, ${term("lesson.kind", stem.slice(key.length + 1))}`;
}
