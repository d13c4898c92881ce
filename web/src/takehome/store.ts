/// What the page keeps on the phone: takes and minutes of practice, in IndexedDB; where a browser
/// gives a page no storage, in memory until it is closed.
import type { MicrophoneSettings } from "../recorder/microphone";
import type { Hearing } from "../contracts/hearing";

export interface KeptTake {
  id: string;
  /// Key of the lesson's item; "piece" for the piece.
  item: string;
  recorded_at: string;
  sound: Blob;
  type: "wav" | "file";
  name: string;
  tempo: number;
  bars: string[] | null;
  playback: { track: string; start_s: number; rate: number; headphones: boolean };
  microphone: MicrophoneSettings | null;
  hearing: Hearing | null;
}

/// Half a second of a recording that is still going on.
export interface Piece {
  take: string;
  n: number;
  rate: number;
  /// 16 bit, as they stand in the WAV file: half the room of floats.
  samples: Int16Array;
}

interface Tables {
  takes: KeptTake;
  pieces: Piece & { key: string };
  minutes: { day: string; seconds: number };
}
const keys = { takes: "id", pieces: "key", minutes: "day" } as const;

export interface Store {
  readonly lasting: boolean;
  all<T extends keyof Tables>(table: T): Promise<Tables[T][]>;
  put<T extends keyof Tables>(table: T, row: Tables[T]): Promise<void>;
  remove(table: keyof Tables, key: string): Promise<void>;
  /// Puts the finished take in the place of its pieces: both or neither.
  settle(take: KeptTake): Promise<void>;
}

export async function openStore(name: string): Promise<Store> {
  try {
    return new Lasting(await opened(name));
  } catch {
    return new Passing();
  }
}

function opened(name: string): Promise<IDBDatabase> {
  return new Promise((resolve, reject) => {
    const request = indexedDB.open(name, 1);
    request.onupgradeneeded = () => {
      for (const [table, keyPath] of Object.entries(keys)) {
        request.result.createObjectStore(table, { keyPath });
      }
    };
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error ?? new Error(name));
    request.onblocked = () => reject(new Error(name));
  });
}

class Lasting implements Store {
  readonly lasting = true;
  constructor(private readonly database: IDBDatabase) {}

  all<T extends keyof Tables>(table: T): Promise<Tables[T][]> {
    return this.done(table, "readonly", (rows) => rows.getAll() as IDBRequest<Tables[T][]>);
  }
  async put<T extends keyof Tables>(table: T, row: Tables[T]): Promise<void> {
    await this.done(table, "readwrite", (rows) => rows.put(row));
  }
  async remove(table: keyof Tables, key: string): Promise<void> {
    await this.done(table, "readwrite", (rows) => rows.delete(key));
  }

  async settle(take: KeptTake): Promise<void> {
    const transaction = this.database.transaction(["takes", "pieces"], "readwrite");
    transaction.objectStore("takes").put(take);
    transaction.objectStore("pieces").delete(IDBKeyRange.bound(`${take.id} `, `${take.id} ~`));
    await finished(transaction);
  }

  private async done<R>(
    table: keyof Tables,
    mode: IDBTransactionMode,
    work: (rows: IDBObjectStore) => IDBRequest<R>,
  ): Promise<R> {
    const transaction = this.database.transaction(table, mode);
    const request = work(transaction.objectStore(table));
    await finished(transaction);
    return request.result;
  }
}

/// Resolves when it is on the disk, not when it has been asked for.
function finished(transaction: IDBTransaction): Promise<void> {
  return new Promise((resolve, reject) => {
    transaction.oncomplete = () => resolve();
    transaction.onabort = transaction.onerror = () =>
      reject(transaction.error ?? new Error("storage"));
  });
}

class Passing implements Store {
  readonly lasting = false;
  private readonly tables = new Map<string, Map<string, unknown>>();

  all<T extends keyof Tables>(table: T): Promise<Tables[T][]> {
    return Promise.resolve([...(this.tables.get(table)?.values() ?? [])] as Tables[T][]);
  }
  put<T extends keyof Tables>(table: T, row: Tables[T]): Promise<void> {
    const rows = this.tables.get(table) ?? new Map<string, unknown>();
    this.tables.set(table, rows.set((row as unknown as Record<string, string>)[keys[table]] ?? "", row));
    return Promise.resolve();
  }
  remove(table: keyof Tables, key: string): Promise<void> {
    this.tables.get(table)?.delete(key);
    return Promise.resolve();
  }
  settle(take: KeptTake): Promise<void> {
    this.tables.delete("pieces");
    return this.put("takes", take);
  }
}
