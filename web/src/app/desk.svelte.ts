/// What every place of the desk shares: the book's figures and settings, and trouble to show.
import { change, read, Refusal } from "../api/client";
import { listen } from "../api/events";
import { book, type Book } from "../contracts/desk";
import { known, say, speak } from "../words/words.svelte";

class Desk {
  book = $state.raw<Book | undefined>();
  trouble = $state("");

  async open(): Promise<void> {
    await this.refresh();
    listen((happening) => {
      if (happening.what !== "take" || happening.state !== "hearing") void this.refresh();
    });
  }

  async refresh(): Promise<void> {
    await this.attempt(async () => {
      this.book = await read(book, "/book");
      await speak(known(this.book.settings.language));
    });
  }

  async settle(settings: Partial<Book["settings"]>): Promise<void> {
    await this.attempt(async () => {
      this.book = await change("PATCH", book, "/book", settings);
      await speak(known(this.book.settings.language));
    });
  }

  /// Does `work`; what goes wrong is shown in the page. True if it was done.
  async attempt(work: () => Promise<void>): Promise<boolean> {
    try {
      await work();
      this.trouble = "";
      return true;
    } catch (error) {
      this.trouble = explain(error);
      return false;
    }
  }
}

/// Does `work` that a page can do without: what is not there is passed over, other trouble is shown.
export async function ifThere(work: () => Promise<void>): Promise<void> {
  await desk.attempt(() =>
    work().catch((error: unknown) => {
      if (!(error instanceof Refusal && error.status === 404)) throw error;
    }),
  );
}

/// What a page can do without, or `otherwise` where it is not there; other trouble is shown.
export async function orElse<T>(asked: Promise<T>, otherwise: T): Promise<T> {
  let found = otherwise;
  await ifThere(async () => {
    found = await asked;
  });
  return found;
}

/// In plain words what went wrong and what to do.
export function explain(error: unknown): string {
  if (error instanceof Refusal) {
    return error.status === 0 ? say("desk.unreachable") : error.message;
  }
  return error instanceof Error ? error.message : String(error);
}

export const desk = new Desk();
