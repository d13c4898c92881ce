// Runs the end-to-end tests: every exported function of browser/*.e2e.mjs whose name is its sentence.
// `npm run browser -- WORD` runs those whose file or name holds WORD. Several processes take one test
// after the other, the longest files first: most of a test is waiting, for sound that is played or a
// page that is drawn. ENDPIN_BROWSER_WORKERS says how many.
import { fork } from "node:child_process";
import { mkdtempSync, readdirSync } from "node:fs";
import { availableParallelism, tmpdir } from "node:os";
import { performance } from "node:perf_hooks";
import { fileURLToPath } from "node:url";
import { removeFolder } from "./folders.mjs";

const word = process.argv[2] ?? "";
const folder = new URL("./", import.meta.url);
// A test is a browser, a desk and sound in real time: with as many as there are cores pages draw so
// late that what is pressed has moved.
const workers = Number(process.env.ENDPIN_BROWSER_WORKERS) || Math.max(1, (availableParallelism?.() ?? 2) - 1);
const shared = mkdtempSync(`${tmpdir()}/endpin-browser-shared-`);
process.on("exit", () => removeFolder(shared));

/// Files in the order in which they are begun: those that took longest when it was last measured.
const long = ["desk-pages", "take-home", "other-ways", "page-practises", "entry-count", "page-in-trouble", "entry", "class-set", "seven-parts"];
function rank(file) {
  const at = long.findIndex((name) => file.startsWith(name));
  return at < 0 ? long.length : at;
}

const began = performance.now();
const waiting = [];
for (const file of readdirSync(folder).filter((name) => name.endsWith(".e2e.mjs"))) {
  const { default: tests } = await import(new URL(file, folder));
  waiting.push(...tests.flatMap(({ name }, at) => (`${file} ${name}`.includes(word) ? [{ file, at }] : [])));
}
waiting.sort((a, b) => rank(a.file) - rank(b.file));

let passed = 0;
let failed = 0;
const spent = {};

function report({ name, ms, fault }) {
  if (fault) ++failed;
  else ++passed;
  console.log(fault ? `FAIL ${name} (${ms} ms)\n${fault}` : `ok   ${name} (${ms} ms)`);
}

/// What each process is at.
const files = new Map();
/// The next test for a process: of its file, which has its desk and browser open, or of a file that
/// nobody is at.
function nextFor(child) {
  const others = [...files].filter(([other]) => other !== child).map(([, file]) => file);
  const job =
    waiting.find((w) => w.file === files.get(child)) ?? waiting.find((w) => !others.includes(w.file)) ?? waiting[0];
  if (!job) return undefined;
  waiting.splice(waiting.indexOf(job), 1);
  files.set(child, job.file);
  return job;
}

/// One process, until no test is left. A process that dies has failed the test that it was at.
function work() {
  return new Promise((resolve) => {
    const child = fork(fileURLToPath(new URL("worker.mjs", folder)), {
      env: { ...process.env, ENDPIN_BROWSER_SHARED: shared },
    });
    let at = "";
    const next = () => {
      const job = nextFor(child);
      if (job) child.send(job);
      else child.disconnect();
    };
    child.on("message", (said) => {
      if (said.begins) at = said.begins;
      else if (said.name) report(said), (at = "");
      else {
        for (const [what, ms] of Object.entries(said.spent)) spent[what] = (spent[what] ?? 0) + ms;
        next();
      }
    });
    child.on("exit", (code) => {
      files.delete(child);
      if (at) report({ name: at, ms: 0, fault: `the test's process ended with ${code}` });
      resolve(at && waiting.length > 0 ? work() : undefined);
    });
    next();
  });
}

await Promise.all(Array.from({ length: Math.min(workers, waiting.length) }, work));
const seconds = (ms) => `${Math.round(ms / 1000)} s`;
console.log(`${Object.entries(spent).map(([what, ms]) => `${what} ${seconds(ms)}`).join(", ")}; ${workers} at a time, ${seconds(performance.now() - began)} in all`);
console.log(`${passed} passed, ${failed} failed`);
process.exitCode = failed === 0 && passed > 0 ? 0 : 1;
