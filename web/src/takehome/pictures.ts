/// The engraved pictures stand in the page, so that they are seen without scripts too; the code takes
/// them from there instead of carrying them twice.
export interface Picture {
  narrow: string[];
  wide: string[];
}

export type Pictures = ReadonlyMap<string, Picture>;

/// `<figure data-picture="KEY" data-shape="narrow">` with SVG pages inside, by key.
export function takePictures(page: HTMLElement): Pictures {
  const pictures = new Map<string, Picture>();
  for (const figure of page.querySelectorAll<HTMLElement>("figure[data-picture]")) {
    const key = figure.dataset.picture ?? "";
    const picture = pictures.get(key) ?? { narrow: [], wide: [] };
    const shape = figure.dataset.shape === "wide" ? "wide" : "narrow";
    const pages = [...figure.children].filter((child) => child.localName === "svg");
    picture[shape] = pages.map((svg) => new XMLSerializer().serializeToString(svg));
    pictures.set(key, picture);
  }
  return pictures;
}

/// The pages for this screen; the other shape where one is missing.
export function pagesFor(picture: Picture | undefined, width: number): string[] {
  if (!picture) return [];
  const [first, second] =
    width < 640 ? [picture.narrow, picture.wide] : [picture.wide, picture.narrow];
  return first.length > 0 ? first : second;
}
