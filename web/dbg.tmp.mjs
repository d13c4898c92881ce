import { closeAll, openPage, startDesk } from "./browser/desk.mjs";
import { demo } from "./browser/files.mjs";
try {
  const home = await startDesk({ demo: demo("").replace(/\/$/, "") });
  const { page, complaints } = await openPage({ home, width: 1440, height: 900 });
  await page.goto(`${home}/#/pieces/1`); await page.locator("h1").first().waitFor(); await page.waitForTimeout(400);
  for (let i = 0; i < 60; ++i) {
    await page.keyboard.press("Tab");
    const r = await page.evaluate(() => { const at = document.activeElement; const b = at.getBoundingClientRect(); const m = document.elementFromPoint(b.x + b.width / 2, b.y + b.height / 2); return [at.textContent.trim().slice(0, 20), Math.round(b.x), Math.round(b.y), Math.round(b.width), Math.round(b.height), m?.tagName, m?.className?.baseVal ?? m?.className, !(m && (at === m || at.contains(m) || m.contains(at)))]; });
    if (r[7]) console.log(JSON.stringify(r));
  }
  for (const place of ["", "takes", "students", "lessons", "settings", "pieces/1", "pieces/1/lesson", "takes/1"]) {
    const t = Date.now(); await page.goto(`${home}/#/${place}`); await page.reload();
    await page.locator("h1").first().waitFor({ timeout: 8000 }).catch(async () => console.log("NO h1", place, (await page.locator("main").innerText()).slice(0, 300)));
    console.log(place, Date.now() - t);
  }
  console.log(complaints);
} finally { await closeAll(); }
