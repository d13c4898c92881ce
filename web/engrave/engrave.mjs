// The engraving process: one JSON request a line on standard input, one JSON answer a line on
// standard output, in order, until the input ends. The engine stays loaded in between.
//
//   request  { "musicxml": "…", "options": Options }
//   answer   { "pages": ["<svg …", …], "timemap": [ … ], "version": "…" }  or  { "error": "…" }
//
// The same request gives the same bytes: ids that the file does not have come from a fixed seed.
import { createInterface } from "node:readline";
import { setFlagsFromString } from "node:v8";
import { LOG_OFF, VerovioToolkit, enableLog } from "verovio/esm";
import createVerovioModule from "verovio/wasm";
import { checkedOptions, engineOptions } from "./options.mjs";
import { withClasses } from "./svg.mjs";

/** @param {VerovioToolkit} toolkit @param {string} line */
function answer(toolkit, line) {
  const request = JSON.parse(line);
  if (typeof request.musicxml !== "string") throw new Error("the request has no musicxml");
  const options = checkedOptions(request.options ?? {});
  toolkit.resetOptions();
  toolkit.setOptions(engineOptions(options));
  if (!toolkit.loadData(request.musicxml)) throw new Error("the engine could not read the score");
  const pages = [];
  for (let page = 1; page <= toolkit.getPageCount(); ++page) {
    pages.push(withClasses(toolkit.renderToSVG(page), options));
  }
  if (pages.length === 0) throw new Error("the engine found nothing to draw");
  const timemap = toolkit.renderToTimemap({ includeMeasures: true });
  return { pages, timemap, version: toolkit.getVersion() };
}

/** @param {VerovioToolkit} toolkit @param {string} line */
function answerOrError(toolkit, line) {
  try {
    return answer(toolkit, line);
  } catch (error) {
    return { error: error instanceof Error ? error.message : String(error) };
  }
}

// A process that draws a few pages is over before an optimising compiler pays: two thirds of its time
// went there. A V8 that does not know the flag passes it over.
setFlagsFromString("--liftoff-only");
const engine = await createVerovioModule();
const toolkit = new VerovioToolkit(engine);
enableLog(LOG_OFF, engine);
for await (const line of createInterface({ input: process.stdin, crlfDelay: Infinity })) {
  if (line.trim() === "") continue;
  process.stdout.write(`${JSON.stringify(answerOrError(toolkit, line))}\n`);
}
