import "../look/fonts";
import "../look/tokens.css";
import "../look/base.css";
import "../look/engraving.css";
import "./without-script.css";
import { mount } from "svelte";
import { takeHome } from "../contracts/lesson";
import { checked } from "../contracts/shape";
import { known, speak } from "../words/words.svelte";
import { takePictures } from "./pictures";
import TakeHome from "./TakeHome.svelte";

async function start(): Promise<void> {
  const page = document.getElementById("page");
  const data: unknown = JSON.parse(document.getElementById("data")?.textContent ?? "null");
  if (!page || data === null) return;
  const given = checked(takeHome, data, "page");
  await speak(known(given.lesson.language));
  const pictures = takePictures(page);
  page.replaceChildren();
  mount(TakeHome, { target: page, props: { given, pictures } });
}

void start();
