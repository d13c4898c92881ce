/// The notes of a piece as they are written, and what the teacher put right in them.
import { Refusal, change, read, remove } from "../api/client";
import { mends, type MendBar, type MendNote, type Mends } from "../contracts/desk";
import type { Change } from "./change";

export class Mender {
  mends = $state.raw<Mends | undefined>();
  /// Counts up with every change, so that a page knows when to draw the piece anew.
  changes = $state(0);
  private queue: Promise<void> = Promise.resolve();

  constructor(private readonly piece: number) {}

  async load(): Promise<void> {
    this.mends = await read(mends, `/pieces/${this.piece}/mends`);
  }

  find(id: string | undefined): { bar: MendBar; note: MendNote } | undefined {
    for (const bar of this.mends?.bars ?? []) {
      const note = bar.notes.find((n) => n.id === id);
      if (note) return { bar, note };
    }
    return undefined;
  }

  /// Changes are sent in the order in which they were made.
  set(id: string, what: Change): Promise<void> {
    return this.then(() => this.send("PUT", `/${encodeURIComponent(id)}`, what));
  }
  /// A new note behind another.
  add(after: string, what: Change): Promise<void> {
    return this.then(() => this.send("POST", "", { after, ...what }));
  }
  takeBack(id: string): Promise<void> {
    return this.then(async () => {
      try {
        await remove(`/pieces/${this.piece}/mends/${encodeURIComponent(id)}`);
      } catch (error) {
        if (!(error instanceof Refusal) || error.status !== 404) throw error;
      }
      await this.load();
    });
  }
  step(name: "undo" | "redo" | "clear"): Promise<void> {
    return this.then(() => this.send("POST", `/${name}`, {}));
  }

  private async send(method: "PUT" | "POST", path: string, body: object): Promise<void> {
    this.mends = await change(method, mends, `/pieces/${this.piece}/mends${path}`, body);
  }
  private then(work: () => Promise<void>): Promise<void> {
    const done = this.queue.then(async () => {
      await work();
      this.changes += 1;
    });
    this.queue = done.catch(() => undefined);
    return done;
  }
}
