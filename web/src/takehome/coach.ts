/// What a finding lets a child do next; the practice page does it.
import type { KeptTake } from "./store";

export interface Coach {
  /// Loops these bars, slower, and points at the notes.
  practise(bars: readonly string[], notes: readonly number[]): void;
  /// Plays these bars as they should sound.
  model(bars: readonly string[], tempo: number): void;
  setTempo(beatsPerMinute: number): void;
  /// Draws the take's hearing under the notes, or takes it away again.
  draw(take: KeptTake): void;
  drawn(take: KeptTake): boolean;
  /// The lesson's exercise made of one of these bars.
  drillFor(bars: readonly string[]): { key: string; title: string } | undefined;
  /// Goes to another task of the lesson.
  open(key: string): void;
}
