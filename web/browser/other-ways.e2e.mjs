// Without a mouse, without motion, and from right to left.
import assert from "node:assert/strict";
import { openPage, startDesk } from "./desk.mjs";
import { demo, takeHome } from "./files.mjs";

async function home(options = {}) {
  const { page, complaints } = await openPage({ width: 390, height: 844, home: takeHome(), ...options });
  await page.goto(takeHome());
  await page.getByRole("button", { name: /The piece/ }).click();
  await page.locator(".engraved .notehead").first().waitFor();
  return { page, complaints };
}

/// Where the focus is: its words, whether it shows, and whether it lies where it can be seen.
function focused() {
  const at = document.activeElement;
  if (!at || at === document.body) return null;
  const box = at.getBoundingClientRect();
  const style = getComputedStyle(at);
  const middle = document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2);
  return {
    words: at.getAttribute("aria-label") ?? (at.textContent.trim() || at.getAttribute("type")),
    // Inside a date the browser outlines its own parts.
    outlined: at.type === "date" || style.outlineStyle !== "none" && parseFloat(style.outlineWidth) > 0,
    seen: middle !== null && (at === middle || at.contains(middle) || middle.contains(at)),
  };
}

async function allStops(page, most) {
  const stops = [];
  for (let i = 0; i < most; ++i) {
    await page.keyboard.press("Tab");
    const stop = await page.evaluate(focused);
    if (!stop) break;
    stops.push(stop);
  }
  return stops;
}

/// The desk's pages once the demo's takes are heard.
async function placesOf(address) {
  for (;;) {
    const { takes } = await (await fetch(`${address}/api/takes`)).json();
    const [take] = takes;
    if (takes.length > 3 && takes.every((one) => one.state === "heard")) {
      const piece = `pieces/${take.piece.id}`;
      return ["", "takes", "students", "lessons", "settings", piece, `${piece}/lesson`, `${piece}/set`, `takes/${take.id}`];
    }
    await new Promise((done) => setTimeout(done, 300));
  }
}

let filled;
/// One for all tests of this file: they only look at it, and its takes need to be heard once.
async function demoDesk(options) {
  filled ??= startDesk({ demo: demo("").replace(/\/$/, ""), forFile: true });
  const address = await filled;
  const places = await placesOf(address);
  return { address, places, ...(await openPage({ home: address, ...options })) };
}

async function at(page, address, place) {
  await page.goto(`${address}/#/${place}`);
  await page.reload();
  await page.locator("h1").first().waitFor();
  await page.waitForTimeout(400);
}

export default [
  {
    name: "every part of the take-home page is reached with the Tab key, seen and outlined",
    async run() {
      const { page } = await home();
      await page.evaluate(() => document.activeElement.blur());
      const stops = await allStops(page, 60);
      const words = stops.map((s) => s.words).join(" | ");
      for (const wanted of [/Loop measure 1/, /With the model/, /Click/, /Tempi|50/, /Tempo/, /Other browsers/, /Play/, /Slower/, /Faster/, /Record/, /Load a recording/]) {
        assert.match(words, wanted);
      }
      assert.deepEqual(stops.filter((s) => !s.outlined).map((s) => s.words), [], "without an outline");
      assert.deepEqual(stops.filter((s) => !s.seen).map((s) => s.words), [], "hidden behind something");
    },
  },
  {
    name: "from the keyboard alone a bar is looped, the tempo changed, and it plays and stops",
    async run() {
      const { page } = await home();
      await page.getByRole("button", { name: "Loop measure 2", exact: true }).focus();
      await page.keyboard.press("Enter");
      await page.getByText("Looping measure 2").waitFor();
      const tempo = page.locator("output");
      const before = Number(/\d+/.exec(await tempo.textContent())[0]);
      await page.getByRole("button", { name: "Faster" }).focus();
      await page.keyboard.press("Space");
      assert.match(await tempo.textContent(), new RegExp(`= ${before + 4}`));
      await page.getByRole("button", { name: "Play", exact: true }).focus();
      await page.keyboard.press("Enter");
      await page.getByRole("button", { name: "Stop" }).waitFor();
      await page.keyboard.press("Enter");
      await page.getByRole("button", { name: "Play", exact: true }).waitFor();
    },
  },
  {
    name: "every control of the desk that Tab reaches is outlined and seen",
    async run() {
      const { page, address, places } = await demoDesk({ width: 1440, height: 900 });
      for (const place of places) {
        await at(page, address, place);
        const stops = await allStops(page, 40);
        assert.ok(stops.length > 5, `${place}: ${stops.length} stops`);
        assert.deepEqual(stops.filter((s) => !s.outlined).map((s) => s.words), [], `${place}: without an outline`);
        assert.deepEqual(stops.filter((s) => !s.seen).map((s) => s.words), [], `${place}: hidden`);
      }
    },
  },
  {
    name: "from right to left nothing is wider than its screen, and music still runs from left to right",
    async run() {
      const turn = () => (document.documentElement.dir = "rtl");
      const music = () => {
        const [first, last] = [...document.querySelectorAll("[data-note]")].map((note) => note.getBoundingClientRect().x);
        return { rises: first < last, texts: [...document.querySelectorAll("svg.engraved")].map((svg) => getComputedStyle(svg).direction) };
      };
      const { page } = await home();
      await page.evaluate(turn);
      assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), "take-home");
      const drawn = await page.evaluate(music);
      assert.ok(drawn.rises && drawn.texts.length > 0 && drawn.texts.every((direction) => direction === "ltr"), JSON.stringify(drawn));
      const { page: desk, address, places } = await demoDesk();
      for (const width of [390, 1440]) {
        await desk.setViewportSize({ width, height: 900 });
        for (const place of places) {
          await at(desk, address, place);
          await desk.evaluate(turn);
          const over = await desk.evaluate(() => document.documentElement.scrollWidth - innerWidth);
          assert.ok(over <= 0, `${place} at ${width}: ${over} px too wide`);
        }
      }
    },
  },
  {
    name: "for those who want no motion nothing is animated while it plays",
    async run() {
      const { page } = await home({ reducedMotion: "reduce" });
      await page.getByRole("button", { name: "Count-in" }).click();
      await page.getByRole("button", { name: "Play", exact: true }).click();
      await page.locator(".over .bow").waitFor();
      assert.equal(await page.evaluate(() => document.getAnimations().length), 0);
    },
  },
];
