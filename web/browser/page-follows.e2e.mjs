// The page follows a playing through the microphone, and says nothing of it.
import assert from "node:assert/strict";
import { openPage } from "./desk.mjs";
import { playedTake, takeHome } from "./files.mjs";

export default [
  {
    name: "the page follows what the microphone hears, and stops when it is told to",
    async run() {
      const home = takeHome();
      const { page, complaints } = await openPage({ width: 390, height: 844, home, microphone: playedTake() });
      await page.goto(home);
      await page.getByRole("button", { name: /The piece/ }).click();
      await page.locator(".engraved .notehead").first().waitFor();
      const follow = page.getByRole("button", { name: "Follow me" });
      await follow.click();
      const bow = page.locator(".over .bow");
      await bow.waitFor({ timeout: 30000 });
      const before = await bow.getAttribute("transform");
      await page.waitForFunction(
        (was) => {
          const now = document.querySelector(".over .bow")?.getAttribute("transform");
          return now && now !== was;
        },
        before,
        { timeout: 30000 },
      );
      assert.equal(await page.getByRole("alert").count(), 0);
      await follow.click();
      assert.equal(await bow.count(), 0);
      assert.deepEqual(complaints, []);
    },
  },
];
