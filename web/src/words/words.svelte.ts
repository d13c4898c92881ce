/// Every sentence of the page, in one catalogue a language. A key may have forms for one and for
/// many (`take.count.one`, `take.count.other`), chosen by `n`.
import saidEnUS from "../../../data/catalogue/said/en-US.json";
import pageEnUS from "./en-US.json";

/// What is said to a child of a recording: the desk's server says it too, in a proposed message.
const enUS = { ...pageEnUS, ...saidEnUS };
export type Key = keyof typeof enUS;
export const languages = ["en-US", "en-GB", "de", "fr", "es", "it", "pt"] as const;
export type Language = (typeof languages)[number];

/// A language's own name, for the list to choose from.
export const ownNames: Record<Language, string> = {
  "en-US": "English (US)",
  "en-GB": "English (UK)",
  de: "Deutsch",
  fr: "Français",
  es: "Español",
  it: "Italiano",
  pt: "Português",
};

type Catalogue = Record<string, string>;
type Loading = Promise<{ default: Catalogue }>;
const others: Record<Exclude<Language, "en-US">, () => [Loading, Loading]> = {
  "en-GB": () => [import("./en-GB.json"), import("../../../data/catalogue/said/en-GB.json")],
  de: () => [import("./de.json"), import("../../../data/catalogue/said/de.json")],
  fr: () => [import("./fr.json"), import("../../../data/catalogue/said/fr.json")],
  es: () => [import("./es.json"), import("../../../data/catalogue/said/es.json")],
  it: () => [import("./it.json"), import("../../../data/catalogue/said/it.json")],
  pt: () => [import("./pt.json"), import("../../../data/catalogue/said/pt.json")],
};

let language = $state<Language>("en-US");
let catalogue = $state.raw<Catalogue>(enUS);

export function spoken(): Language {
  return language;
}

export function known(name: string): Language {
  return languages.find((l) => l === name) ?? languages.find((l) => name.startsWith(l)) ?? "en-US";
}

export async function speak(wanted: Language): Promise<void> {
  catalogue = wanted === "en-US" ? enUS : await whole(others[wanted]());
  language = wanted;
  document.documentElement.lang = wanted;
}

async function whole([page, said]: [Loading, Loading]): Promise<Catalogue> {
  return { ...(await page).default, ...(await said).default };
}

export type Values = Record<string, string | number>;

/// The sentence for `key`, with `{name}` or `{name:kind}` replaced by `values.name`.
export function say(key: Key, values: Values = {}): string {
  return fill(catalogue[key] ?? enUS[key], values);
}

/// The sentence for `n` things: `key` without its `.one` or `.other`.
export function count(key: string, n: number, values: Values = {}): string {
  const form = new Intl.PluralRules(language).select(n);
  const sentence = catalogue[`${key}.${form}`] ?? catalogue[`${key}.other`] ?? key;
  return fill(sentence, { n: figure(n), ...values });
}

/// A word that comes from data (an instrument, a kind); the data's own word where it is not listed.
export function term(group: string, name: string): string {
  return catalogue[`${group}.${name}`] ?? name;
}

/// Whether there is a sentence for `key`.
export function has(key: string): key is Key {
  return key in enUS;
}

/// "4, 8 and 12", as the language writes it.
export function list(things: readonly string[]): string {
  return new Intl.ListFormat(language, { type: "conjunction" }).format(things);
}

export function figure(value: number, digits = 0): string {
  return new Intl.NumberFormat(language, { maximumFractionDigits: digits }).format(value);
}

/// A moment's day where the reader is; a date alone is that day everywhere.
export function day(iso: string): string {
  const timeZone = iso.length === "2026-03-01".length ? "UTC" : undefined;
  return new Intl.DateTimeFormat(language, { day: "numeric", month: "short", timeZone }).format(new Date(iso));
}

function fill(sentence: string, values: Values): string {
  return sentence.replace(/\{(\w+)(?::\w+)?\}/g, (whole, name: string) => String(values[name] ?? whole));
}
