/// Marking by keyboard: 0–4 a finger, T the thumb, D and U a bow, arrows up and down a string.
import type { Mark } from "./marker.svelte";

const lowestString = 4;

/// What `event` asks for on a note that is on `string` (1 is the highest); nothing for other keys.
export function markOfKey(
  event: Pick<KeyboardEvent, "key" | "ctrlKey" | "metaKey" | "altKey">,
  string: number | undefined,
): Mark | undefined {
  if (event.ctrlKey || event.metaKey || event.altKey) return undefined;
  const key = event.key.toLowerCase();
  if (/^[0-4]$/.test(key)) return { finger: Number(key) };
  switch (key) {
    case "t":
      return { finger: 5 };
    case "d":
      return { bow: "down" };
    case "u":
      return { bow: "up" };
    case "arrowup":
      return string === undefined ? undefined : { string: Math.max(1, string - 1) };
    case "arrowdown":
      return string === undefined ? undefined : { string: Math.min(lowestString, string + 1) };
    case "delete":
    case "backspace":
      return { finger: null, string: null, bow: null };
    default:
      return undefined;
  }
}
