import "../look/fonts";
import "../look/tokens.css";
import "../look/base.css";
import "../look/engraving.css";
import { mount } from "svelte";
import { ofItem } from "../contracts/hearing";
import { report } from "../contracts/report";
import { checked } from "../contracts/shape";
import { known, speak } from "../words/words.svelte";
import Report from "./Report.svelte";

async function start(): Promise<void> {
  const page = document.getElementById("page");
  const data: unknown = JSON.parse(document.getElementById("data")?.textContent ?? "null");
  if (!page || data === null) return;
  const given = checked(report, data, "report");
  given.hearing = ofItem(given.hearing, 0);
  await speak(known(given.language));
  document.title = given.title;
  page.replaceChildren();
  mount(Report, { target: page, props: { report: given } });
}

void start();
