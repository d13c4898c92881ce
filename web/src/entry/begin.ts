/// A new tune: an empty draft in the book, with the lines that every tune begins with.
import { change } from "../api/client";
import { go } from "../app/route.svelte";
import { draft } from "../contracts/desk";

export async function beginTune(): Promise<void> {
  const text = "X:1\nT:\nM:4/4\nL:1/8\nK:D clef=bass\n";
  const made = await change("POST", draft, "/drafts", { text, instrument: "cello" });
  go("write", made.id);
}
