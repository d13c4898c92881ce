// Folders that tests make and put away.
import { rmSync } from "node:fs";

/// A desk's engraver may still write while the folder goes: rmSync lists it once, however often it
/// tries, so that what came meanwhile goes with the next call.
export function removeFolder(folder) {
  const most = 20;
  for (let tries = 1; ; ++tries) {
    try {
      return rmSync(folder, { recursive: true, force: true });
    } catch (fault) {
      if (tries === most) throw fault;
      Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, 100);
    }
  }
}
