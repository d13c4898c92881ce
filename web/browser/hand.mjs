// Hands that write a tune in the page, by what the page offers and nothing else.
import { majors } from "./demo-score.mjs";

/// A new tune with the score's title, instrument, key and metre.
export async function begin(page, home, score) {
  await page.goto(`${home}/#/`);
  await page.getByRole("button", { name: "Write a tune" }).click();
  await page.getByLabel("Title").fill(score.name);
  await page.getByLabel("Instrument").selectOption(score.instrument);
  await page.getByLabel("Signature").selectOption({ label: label(score.fifths) });
  await page.getByLabel("Meter").selectOption(score.metre);
}
function label(fifths) {
  return fifths === 0 ? "C" : `${majors[fifths + 1]} · ${Math.abs(fifths)} ${fifths > 0 ? "♯" : "♭"}`;
}
/// Into the book; the piece's id.
export async function keep(page) {
  await page.getByRole("button", { name: "Put it in the book" }).click();
  await page.locator(".engraved .notehead").first().waitFor({ timeout: 60000 });
  return Number(/pieces\/(\d+)/.exec(page.url())[1]);
}
const middle = { treble: 34, alto: 28, bass: 22 };
/// Touches the staff behind its last note at the height of `note`.
async function touch(page, score, note) {
  const line = page.locator("section.staff svg").last();
  const box = await line.boundingBox();
  const view = (await line.getAttribute("viewBox")).split(" ").map(Number);
  const height = (middle[score.clef] - (note.octave * 7 + note.step)) / 2;
  await line.click({ position: { x: box.width - 3, y: ((height - view[1]) * box.height) / view[3] } });
}
export class Hand {
  /// How often the page was touched.
  taps = 0;
  pen = { value: 1, dotted: false };
  constructor(page, score) {
    this.page = page;
    this.score = score;
  }
  press(name) {
    ++this.taps;
    return this.page.getByRole("group", { name: "Values and signs" }).getByRole("button", { name, exact: true }).click();
  }
  async take(note) {
    const words = { 4: "whole note", 2: "half note", 1: "quarter note", 0.5: "eighth note", 0.25: "sixteenth note" };
    if (note.value !== this.pen.value) {
      await this.press(words[note.value]);
      this.pen.dotted = false;
    }
    if (note.dotted !== this.pen.dotted) await this.press("Dot");
    this.pen = { value: note.value, dotted: note.dotted };
  }
  async write(note) {
    await this.take(note);
    ++this.taps;
    await touch(this.page, this.score, note);
    if (note.accidental === 1) await this.press("Sharp");
    if (note.bow) await this.press(`${note.bow}-bow`);
    if (note.finger) await this.press(note.finger);
    if (note.tied) await this.press("Tie");
    if (note.slurEnds) await this.press("Slur");
  }
  async bar(bar, last) {
    for (const note of bar.notes) await this.write(note);
    if (bar.ending) await this.press(`Ending ${bar.ending}`);
    if (bar.repeatBegins) await this.press("Repeat from here");
    if (bar.repeatEnds) await this.press("Repeat to here");
    else if (last) await this.press("The end");
    else if (bar.notes.reduce((sum, n) => sum + n.quarters, 0) < this.full) await this.press("Bar line");
  }
  get full() {
    const [beats, type] = this.score.metre.split("/").map(Number);
    return (4 * beats) / type;
  }
}
