/// Cuts engraved pages into systems, so that lanes can stand beneath each one, and measures where
/// staves, bars and note heads lie. All lengths are the engraving's own units, x to the right and y
/// downward; all systems of a part share one width, so one scale fits them all.

export interface Measure {
  /// Its place among the part's written bars, from 0.
  order: number;
  left: number;
  right: number;
}

export interface Head {
  id: string;
  measure: number;
  /// Middle of the note head.
  x: number;
  y: number;
  /// Upper edge of all that belongs to the note: stem, articulation, a slur above it.
  top: number;
}

export interface System {
  svg: SVGSVGElement;
  left: number;
  top: number;
  width: number;
  height: number;
  staffTop: number;
  staffBottom: number;
  /// Between two staff lines.
  space: number;
  measures: Measure[];
  heads: Map<string, Head>;
}

const svgSpace = "http://www.w3.org/2000/svg";
/// Room above a system for fingers and bows, and below it for the place that is playing, in staff
/// spaces. We chose them: two rows of marks, and one bar with a little air.
const roomAbove = 3.6;
const roomBelow = 3.4;
const tempoLift = 2.2;
const bowGlyphs = /#E61[02]/;

/// `engraved`: fingers and bows stay as the page shows them. `own`: they are taken out, since they are
/// drawn from the markings, which change without a new page.
export type Marks = "engraved" | "own";

/// REQUIRES: a document, since it asks the browser for sizes.
export function cutIntoSystems(pages: readonly string[], marks: Marks): System[] {
  const host = document.createElement("div");
  host.className = "measuring";
  document.body.append(host);
  try {
    const found: System[] = [];
    for (const page of pages) {
      const root = document.importNode(parsePage(page, marks), true);
      host.append(root);
      const defs = root.querySelector("defs");
      for (const group of root.querySelectorAll<SVGGElement>("g.system")) {
        const system = measureSystem(group, defs, count(found), marks);
        if (system) found.push(system);
      }
    }
    shareWidth(found);
    return found;
  } finally {
    host.remove();
  }
}

function count(systems: readonly System[]): number {
  return systems.reduce((sum, system) => sum + system.measures.length, 0);
}

function parsePage(page: string, marks: Marks): SVGSVGElement {
  // Taken out before parsing: the policy that drops style elements would complain of them.
  const unstyled = page.replace(/<style[\s\S]*?<\/style>/g, "");
  const parsed = new DOMParser().parseFromString(unstyled, "image/svg+xml");
  const root = parsed.documentElement as unknown as SVGSVGElement;
  const unwanted = "script, foreignObject, .label, .labelAbbr" + (marks === "own" ? ", .fing" : "");
  for (const old of root.querySelectorAll(unwanted)) old.remove();
  for (const use of root.querySelectorAll("use")) {
    const target = use.getAttribute("href") ?? use.getAttribute("xlink:href") ?? "";
    if (!target.startsWith("#") || (marks === "own" && bowGlyphs.test(target))) use.remove();
  }
  for (const named of root.querySelectorAll("[id]")) {
    if (named.closest("defs")) continue;
    named.setAttribute("data-id", named.id);
    named.removeAttribute("id");
  }
  return root;
}

function measureSystem(
  group: SVGGElement,
  defs: Element | null,
  firstMeasure: number,
  marks: Marks,
): System | undefined {
  const measures: Measure[] = [];
  const heads = new Map<string, Head>();
  let staffTop = 0;
  let staffBottom = 0;
  const slurs = [...group.querySelectorAll<SVGGElement>("g.slur")].map((slur) => slur.getBBox());
  for (const bar of group.querySelectorAll<SVGGElement>("g.measure")) {
    const staff = bar.querySelector(":scope > .staff");
    const lines = [...(staff?.querySelectorAll(":scope > path") ?? [])]
      .map((path) => numbers(path.getAttribute("d") ?? ""))
      .filter((d) => d.length === 4);
    const [first, last] = [lines[0], lines[lines.length - 1]];
    if (!first || !last) continue;
    staffTop = first[1] ?? 0;
    staffBottom = last[1] ?? 0;
    const order = firstMeasure + measures.length;
    measures.push({ order, left: first[0] ?? 0, right: first[2] ?? 0 });
    for (const note of bar.querySelectorAll<SVGGElement>("g.note")) {
      const head = measureHead(note, order, slurs);
      if (head) heads.set(head.id, head);
    }
  }
  if (measures.length === 0) return undefined;
  const space = (staffBottom - staffTop) / 4 || 180;
  if (marks === "own") {
    // The row of fingers and bows comes between the staff and a tempo mark.
    for (const tempo of group.querySelectorAll("g.tempo")) {
      tempo.setAttribute("transform", `translate(0 ${-tempoLift * space})`);
    }
  }
  const box = group.getBBox();
  const highest = Math.min(staffTop, ...[...heads.values()].map((head) => head.top));
  const top = Math.min(box.y - space / 2, highest - (marks === "own" ? roomAbove : 1) * space);
  const bottom = Math.max(box.y + box.height, staffBottom + 2 * space) + roomBelow * space;
  return {
    svg: ownSvg(group, defs),
    left: measures[0]?.left ?? 0,
    width: 0,
    top,
    height: bottom - top,
    staffTop,
    staffBottom,
    space,
    measures,
    heads,
  };
}

function measureHead(
  note: SVGGElement,
  measure: number,
  slurs: readonly DOMRect[],
): Head | undefined {
  const id = note.getAttribute("data-id");
  const head = note.querySelector<SVGGElement>(".notehead");
  if (!id || !head) return undefined;
  const own = head.getBBox();
  const whole = (note.closest<SVGGElement>("g.chord") ?? note).getBBox();
  const x = own.x + own.width / 2;
  const y = own.y + own.height / 2;
  // A slur begins and ends a little inside its outer heads.
  const reach = own.width;
  const over = slurs.filter((s) => s.x - reach <= x && x <= s.x + s.width + reach && s.y < y);
  const top = Math.min(whole.y, ...over.map((s) => s.y));
  return { id, measure, x, y, top };
}

function ownSvg(group: SVGGElement, defs: Element | null): SVGSVGElement {
  const svg = document.createElementNS(svgSpace, "svg");
  svg.setAttribute("class", "engraved");
  svg.setAttribute("aria-hidden", "true");
  if (defs) svg.append(defs.cloneNode(true));
  svg.append(group.cloneNode(true));
  return svg;
}

function shareWidth(systems: System[]): void {
  const left = Math.min(...systems.map((system) => system.left));
  const right = Math.max(
    ...systems.flatMap((system) => system.measures.map((measure) => measure.right)),
  );
  for (const system of systems) {
    const air = system.space / 2;
    system.left = left - air;
    system.width = right - left + 2 * air;
    const box = [system.left, system.top, system.width, system.height];
    system.svg.setAttribute("viewBox", box.join(" "));
  }
}

function numbers(path: string): number[] {
  return (path.match(/-?\d+(\.\d+)?/g) ?? []).map(Number);
}
