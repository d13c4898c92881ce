// How long a keystroke takes to show in a tune of 32 bars: from the input event to the frame after
// the drawing. Run by hand: node browser/keystroke.mjs
import { closeAll, openPage, startDesk } from "./desk.mjs";

const bar = "(A,2 B,2) ^C2 D2- | D>E (3FGA, vB,2 !1!A,2 |";
const text = `X:1\nT:Long\nM:4/4\nL:1/8\nK:D clef=bass\n${Array.from({ length: 16 }, () => bar).join("\n")}\n`;
try {
  const home = await startDesk({});
  const headers = { "X-Endpin": "1", "Content-Type": "application/json" };
  await fetch(`${home}/api/drafts`, { method: "POST", headers, body: JSON.stringify({ text, instrument: "cello" }) });
  const { page } = await openPage({ home });
  await page.goto(`${home}/#/write/1`);
  await page.getByLabel("As text (ABC)").waitFor();
  const times = await page.evaluate(async () => {
    const area = document.querySelector("textarea");
    const found = [];
    for (let i = 0; i < 120; ++i) {
      const began = performance.now();
      area.value += "ABcd "[i % 5];
      area.setSelectionRange(area.value.length, area.value.length);
      area.dispatchEvent(new Event("input", { bubbles: true }));
      await new Promise((done) => requestAnimationFrame(() => {
        const { port1, port2 } = new MessageChannel();
        port1.onmessage = done;
        port2.postMessage(0);
      }));
      found.push(performance.now() - began);
    }
    return found.sort((a, b) => a - b);
  });
  const at = (share) => times[Math.floor(share * (times.length - 1))].toFixed(1);
  console.log(`keystroke to frame, 32 bars, ${times.length} keys: median ${at(0.5)} ms, p95 ${at(0.95)} ms, worst ${at(1)} ms`);
} finally {
  await closeAll();
}
