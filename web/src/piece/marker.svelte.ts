/// The markings of a piece and the teacher's changes to them.
import { change, read } from "../api/client";
import { markings, type Alternative, type Markings, type NoteMarkings } from "../contracts/desk";

export type Origin = "printed" | "teacher" | "proposed";
export interface Mark {
  finger?: number | null;
  string?: number | null;
  bow?: "down" | "up" | null;
}

export class Marker {
  markings = $state.raw<Markings | undefined>();
  shown = $state.raw<ReadonlySet<Origin>>(new Set<Origin>(["printed", "teacher", "proposed"]));
  private queue: Promise<void> = Promise.resolve();

  constructor(private readonly piece: number) {}

  async load(): Promise<void> {
    this.markings = await read(markings, `/pieces/${this.piece}/markings`);
  }

  of(id: string): NoteMarkings | undefined {
    return this.markings?.notes.find((m) => m.id === id);
  }

  /// Changes are sent in the order in which they were made.
  set(id: string, mark: Mark): Promise<void> {
    return this.send("PUT", `/${encodeURIComponent(id)}`, mark);
  }

  /// Takes another fingering of a passage over.
  take(alternative: Alternative): Promise<void> {
    return this.send("PUT", "", { notes: alternative.notes });
  }

  /// Other fingerings of the passage that the note stands in.
  around(id: string): Alternative[] {
    return this.markings?.alternatives.filter((a) => a.notes.some((n) => n.id === id)) ?? [];
  }

  undo(): Promise<void> {
    return this.send("POST", "/undo");
  }

  redo(): Promise<void> {
    return this.send("POST", "/redo");
  }

  toggle(origin: Origin): void {
    const next = new Set(this.shown);
    if (!next.delete(origin)) next.add(origin);
    this.shown = next;
  }

  private send(method: "PUT" | "POST", path: string, body: object = {}): Promise<void> {
    const done = this.queue.then(async () => {
      this.markings = await change(method, markings, `/pieces/${this.piece}/markings${path}`, body);
    });
    this.queue = done.catch(() => undefined);
    return done;
  }
}
