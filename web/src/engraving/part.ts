/// A part on paper: what is engraved, what is played, and the way from one to the other.
import { quarters, type Timeline, type TimelineNote } from "../contracts/timeline";
import { StaffAxis, type Stretch } from "./axis";
import { cutIntoSystems, type Head, type Marks, type System } from "./systems";

export interface PlacedNote {
  note: TimelineNote;
  onset: number;
  duration: number;
  head: Head;
  stretch: Stretch;
}

export class Part {
  readonly systems: System[];
  readonly axis: StaffAxis;
  /// By index of the timeline; empty for a note that the page does not show.
  readonly notes: (PlacedNote | undefined)[];

  constructor(
    readonly timeline: Timeline,
    pages: readonly string[],
    marks: Marks = "engraved",
  ) {
    this.systems = cutIntoSystems(pages, marks);
    this.axis = new StaffAxis(timeline, this.systems);
    const heads = new Map(this.systems.flatMap((system) => [...system.heads]));
    this.notes = timeline.notes.map((note) => {
      const onset = quarters(note.onset_quarters);
      const duration = quarters(note.duration_quarters);
      const head = heads.get(note.id);
      const stretch = this.axis.stretch(onset, onset + duration);
      return head && stretch && { note, onset, duration, head, stretch };
    });
  }

  /// The same part with pictures of its own, to be shown at a second place.
  copy(): Part {
    const systems = this.systems.map((s) => ({ ...s, svg: s.svg.cloneNode(true) as SVGSVGElement }));
    return Object.assign(Object.create(Part.prototype) as Part, this, { systems });
  }

  /// Notes whose head stands in `system`, each written note once, from left to right.
  inSystem(system: number): PlacedNote[] {
    const seen = new Set<string>();
    return this.placed()
      .filter((p) => p.stretch.system === system && !seen.has(p.note.id) && seen.add(p.note.id))
      .sort((a, b) => a.head.x - b.head.x);
  }

  placed(): PlacedNote[] {
    return this.notes.filter((p): p is PlacedNote => p !== undefined);
  }

  /// First and last note (indices) of the bars printed `from` to `to`, first time through.
  notesOfBars(from: string, to: string): { first: number; last: number } | undefined {
    const bars = this.timeline.bars;
    const start = bars.findIndex((bar) => bar.bar === from);
    const end = bars.findIndex((bar, i) => bar.bar === to && i >= start);
    if (start < 0 || end < 0) return undefined;
    const begins = quarters(bars[start]?.start_quarters ?? "0");
    const ends = quarters(bars[end]?.start_quarters ?? "0") + quarters(bars[end]?.length_quarters ?? "0");
    const inside = this.timeline.notes.filter((n) => {
      const onset = quarters(n.onset_quarters);
      return onset >= begins - 1e-9 && onset < ends - 1e-9;
    });
    const [first, last] = [inside[0], inside[inside.length - 1]];
    return first && last && { first: first.index, last: last.index };
  }
}
