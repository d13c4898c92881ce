// One of the processes that run.mjs starts: runs the tests that it is sent, one after the other.
import { performance } from "node:perf_hooks";
import { closeAll, closeFile, spent } from "./desk.mjs";

let file;

async function runOne({ name, run }) {
  process.send({ begins: name });
  const began = performance.now();
  let fault;
  try {
    await run();
  } catch (error) {
    fault = error instanceof Error ? error.stack : String(error);
  } finally {
    await closeAll();
  }
  process.send({ name, ms: Math.round(performance.now() - began), fault });
}

process.on("message", async (job) => {
  if (job.file !== file) await closeFile();
  file = job.file;
  const { default: tests } = await import(new URL(file, import.meta.url));
  await runOne(tests[job.at]);
  process.send({ spent: spent() });
});
// No test is left, or nobody is there any more who would hear of one.
process.on("disconnect", async () => {
  await closeAll();
  await closeFile();
  process.exit();
});
