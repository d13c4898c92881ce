// Runs the end-to-end tests: every exported function of browser/*.e2e.mjs whose name is its sentence.
// `npm run browser -- WORD` runs those whose file or name holds WORD.
import { readdirSync } from "node:fs";
import { performance } from "node:perf_hooks";
import { closeAll } from "./desk.mjs";

const word = process.argv[2] ?? "";
const folder = new URL("./", import.meta.url);
let passed = 0;
let failed = 0;
for (const file of readdirSync(folder).filter((name) => name.endsWith(".e2e.mjs"))) {
  const tests = await import(new URL(file, folder));
  for (const { name, run } of tests.default) {
    if (!`${file} ${name}`.includes(word)) continue;
    const began = performance.now();
    try {
      await run();
      ++passed;
      console.log(`ok   ${name} (${Math.round(performance.now() - began)} ms)`);
    } catch (error) {
      ++failed;
      console.log(`FAIL ${name}\n${error instanceof Error ? error.stack : error}`);
    } finally {
      await closeAll();
    }
  }
}
console.log(`${passed} passed, ${failed} failed`);
process.exitCode = failed === 0 && passed > 0 ? 0 : 1;
