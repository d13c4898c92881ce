import { closeAll, openPage, startDesk } from "./browser/desk.mjs";
import { score, takeOf } from "./browser/files.mjs";
const out = "/tmp/pg/walk"; import { mkdirSync } from "node:fs"; mkdirSync(out, { recursive: true });
let n = 0; const t0 = Date.now();
try {
  const home = await startDesk();
  for (const [width, height] of [[1440, 900]]) {
    const { page, complaints } = await openPage({ home, width, height });
    const step = async (what) => { await page.waitForTimeout(500); ++n; await page.screenshot({ path: `${out}/${String(n).padStart(2, "0")}.png` }); console.log(n, what, ((Date.now() - t0) / 1000).toFixed(1), page.url().slice(home.length)); };
    await page.goto(home); await page.getByRole("heading", { level: 1 }).waitFor(); await step("opened");
    const [chooser] = await Promise.all([page.waitForEvent("filechooser"), page.getByRole("button", { name: "Add a score" }).click()]);
    await chooser.setFiles(score);
    await page.locator(".engraved .notehead").first().waitFor(); await step("score chosen");
    await page.getByText("Make a lesson").first().click(); await page.getByRole("button", { name: "Make the lesson" }).waitFor(); await step("make a lesson");
    await page.getByRole("button", { name: "Make the lesson" }).click(); await page.waitForTimeout(800); await step("making");
    await page.getByRole("button", { name: /Print/ }).first().waitFor({ timeout: 90000 }); await page.waitForTimeout(1500); await step("lesson made");
    // recording, dropped
    await page.getByRole("link", { name: /Takes/ }).click(); await step("takes");
    const f = takeOf("ilva-ode-to-joy.opus");
    const [c2] = await Promise.all([page.waitForEvent("filechooser"), page.getByRole("button", { name: "Choose recordings" }).click()]);
    await c2.setFiles(f); await page.waitForTimeout(2500); await step("recording chosen on takes");
    await page.waitForTimeout(4000); await step("waited");
    const sel = page.locator(".assign select"); console.log("selects", await sel.count());
    for (let i = await sel.count(); i > 0; --i) { await sel.nth(i - 1).selectOption({ index: 1 }).catch((e) => console.log(String(e).slice(0, 90))); await step("assigned"); }
    await page.waitForTimeout(5000); await step("heard");
    await page.locator("a[href*='takes/']").first().click(); await page.waitForTimeout(2500); await step("take");
    await page.getByLabel("To the student").scrollIntoViewIfNeeded(); await step("message");
    await page.getByRole("button", { name: "Copy" }).click(); await step("copied");
    console.log(complaints);
  }
} finally { await closeAll(); }
