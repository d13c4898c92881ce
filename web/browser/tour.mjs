// Takes the pictures of docs/tour.md: node browser/tour.mjs
// A desk on the demo book, its takes heard, one picture for each station of the week.
import { execFileSync } from "node:child_process";
import { mkdirSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { closeAll, openPage, startDesk, temporaryFolder } from "./desk.mjs";

const root = fileURLToPath(new URL("../../", import.meta.url));
const pictures = `${root}docs/pictures`;
const endpin = process.env.ENDPIN ?? `${root}build/dev/apps/endpin/endpin`;
mkdirSync(pictures, { recursive: true });

async function heard(home) {
  for (;;) {
    const { takes } = await (await fetch(`${home}/api/takes`)).json();
    if (takes.length > 0 && takes.every((take) => take.state === "heard")) return takes;
    await new Promise((resolve) => setTimeout(resolve, 500));
  }
}

async function picture(page, name, address, settled) {
  await page.goto(address);
  await page.locator(settled).first().waitFor({ timeout: 60000 });
  await page.waitForTimeout(700);
  await page.screenshot({ path: `${pictures}/${name}.png` });
  console.log(`docs/pictures/${name}.png`);
}

function sheet() {
  const folder = temporaryFolder();
  execFileSync(endpin, ["lesson", `${root}demo/pieces/ode-to-joy.musicxml`, "-o", `${folder}/lesson`, "--date", "2026-03-02"]);
  execFileSync("pdftoppm", ["-r", "80", "-png", "-f", "1", "-singlefile", `${folder}/lesson/sheet.pdf`, `${pictures}/sheet`]);
  console.log("docs/pictures/sheet.png");
}

try {
  sheet();
  const home = await startDesk({ demo: `${root}demo` });
  const takes = await heard(home);
  const { pieces } = await (await fetch(`${home}/api/pieces`)).json();
  const ode = pieces.find((piece) => piece.title === "Ode to Joy");
  const take = takes.find((one) => one.piece.id === ode.id);
  const { page } = await openPage({ home, width: 1440, height: 900 });
  await picture(page, "book", `${home}/#/`, "text=Ode to Joy");
  await picture(page, "piece", `${home}/#/pieces/${ode.id}`, ".engraved .notehead");
  await picture(page, "take", `${home}/#/takes/${take.id}`, ".lanes .held");
} finally {
  await closeAll();
}
