import { letters } from "../look/fonts";
import "../look/tokens.css";
import "../look/base.css";
import "../look/engraving.css";
import { mount } from "svelte";
import App from "./App.svelte";

const desk = document.getElementById("desk");
void letters().then(() => desk && mount(App, { target: desk }));
