/// The teacher's own sentences, kept to be used again.
import { change, read, remove } from "../api/client";
import { ifThere } from "../app/desk.svelte";
import { remark, type Remark } from "../contracts/desk";
import { list, object } from "../contracts/shape";
import { spoken } from "../words/words.svelte";

class Remarks {
  all = $state.raw<Remark[]>([]);

  async load(): Promise<void> {
    await ifThere(async () => {
      this.all = (await read(object({ remarks: list(remark) }), "/remarks")).remarks;
    });
  }

  /// Those for findings of `kind`, and those for any.
  of(kind: string): Remark[] {
    return this.all.filter((r) => r.kind === null || r.kind === kind);
  }

  async keep(words: string, kind: string): Promise<void> {
    if (this.all.some((r) => r.words === words)) return;
    const kept = await change("POST", remark, "/remarks", { words, kind, language: spoken() });
    this.all = [...this.all, kept];
  }

  async forget(id: number): Promise<void> {
    await remove(`/remarks/${id}`);
    this.all = this.all.filter((r) => r.id !== id);
  }
}

export const remarks = new Remarks();
