// node bench/first-paint.mjs [TIMES]
// How soon something stands on a page that is opened for the first time: first contentful paint in a
// fresh Chromium profile, and when the page's own heading is there. Middle and slowest of TIMES.
import { loadavg } from "node:os";
import { closeAll, openPage, startDesk } from "../browser/desk.mjs";
import { demo, takeHome } from "../browser/files.mjs";

const times = Number(process.argv[2] ?? 7);

async function heard(address) {
  for (;;) {
    const { takes } = await (await fetch(`${address}/api/takes`)).json();
    if (takes.length > 3 && takes.every((take) => take.state === "heard")) return takes[0];
    await new Promise((done) => setTimeout(done, 500));
  }
}

async function opened(home, address) {
  const { page } = await openPage({ home, width: 1440, height: 900 });
  const began = performance.now();
  await page.goto(address, { waitUntil: "commit" });
  await page.locator("h1").first().waitFor();
  const heading = performance.now() - began;
  const paint = await page.evaluate(
    () =>
      new Promise((done) =>
        new PerformanceObserver((list) => {
          const first = list.getEntriesByName("first-contentful-paint")[0];
          if (first) done(first.startTime);
        }).observe({ type: "paint", buffered: true }),
      ),
  );
  await page.context().browser().close();
  return { paint, heading };
}

function said(values) {
  const sorted = values.map(Math.round).sort((a, b) => a - b);
  return `${sorted[Math.floor(sorted.length / 2)]} ms, at most ${sorted.at(-1)} ms`;
}

try {
  const home = await startDesk({ demo: demo("").replace(/\/$/, "") });
  const take = await heard(home);
  const pages = {
    book: `${home}/#/`, takes: `${home}/#/takes`, students: `${home}/#/students`, lessons: `${home}/#/lessons`,
    settings: `${home}/#/settings`, piece: `${home}/#/pieces/${take.piece.id}`, lesson: `${home}/#/pieces/${take.piece.id}/lesson`,
    take: `${home}/#/takes/${take.id}`, "take-home": takeHome(),
  };
  console.log(`${times} times each, load ${loadavg()[0].toFixed(1)}`);
  for (const [name, address] of Object.entries(pages)) {
    const all = [];
    for (let i = 0; i < times; ++i) all.push(await opened(name === "take-home" ? address : home, address));
    console.log(`${name}: first paint ${said(all.map((one) => one.paint))}; heading ${said(all.map((one) => one.heading))}`);
  }
} finally {
  await closeAll();
}
