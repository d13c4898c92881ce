/// The staff's own time axis: which system a played moment stands in, and where. Between two notes
/// time runs evenly from head to head; after a bar's last note, to its bar line.
import { quarters, type Timeline } from "../contracts/timeline";
import type { System } from "./systems";

export interface Place {
  system: number;
  x: number;
}

/// A stretch of a note on paper; it may end in a later system, then `to` is its own system's edge.
export interface Stretch {
  system: number;
  from: number;
  to: number;
}

interface PlayedBar {
  start: number;
  end: number;
  system: number;
  /// [quarters, x], ascending.
  points: [number, number][];
}

export class StaffAxis {
  private readonly bars: PlayedBar[] = [];

  constructor(timeline: Timeline, systems: readonly System[]) {
    const heads = headsOf(systems);
    const notes = timeline.notes.map((n) => ({ id: n.id, onset: quarters(n.onset_quarters) }));
    let next = 0;
    for (const bar of timeline.bars) {
      const start = quarters(bar.start_quarters);
      const end = start + quarters(bar.length_quarters);
      const inside: { id: string; onset: number }[] = [];
      for (; next < notes.length; ++next) {
        const note = notes[next];
        if (!note || note.onset >= end - 1e-9) break;
        inside.push(note);
      }
      const known = inside.map((n) => heads.get(n.id)).find((h) => h !== undefined);
      const where = measureAt(systems, known?.measure ?? bar.written_index);
      if (!where) continue;
      const points: [number, number][] = [];
      for (const note of inside) {
        const head = heads.get(note.id);
        const last = points[points.length - 1];
        if (!head || head.measure !== where.order) continue;
        if (last === undefined || note.onset > last[0] + 1e-9) points.push([note.onset, head.x]);
      }
      const first = points[0];
      if (first === undefined || first[0] > start + 1e-9) points.unshift([start, where.left]);
      points.push([end, where.right]);
      this.bars.push({ start, end, system: where.system, points });
    }
  }

  /// Where the played moment `at` (quarters from the beginning) stands; nothing outside the part.
  place(at: number): Place | undefined {
    const bar = this.barAt(at);
    return bar && { system: bar.system, x: interpolate(bar.points, at) };
  }

  stretch(from: number, to: number): Stretch | undefined {
    const bar = this.barAt(from);
    if (!bar) return undefined;
    let end = bar;
    for (const other of this.bars) {
      if (other.start >= to - 1e-9) break;
      if (other.start >= bar.start && other.system === bar.system) end = other;
    }
    return {
      system: bar.system,
      from: interpolate(bar.points, from),
      to: interpolate(end.points, Math.min(to, end.end)),
    };
  }

  private barAt(at: number): PlayedBar | undefined {
    let low = 0;
    let high = this.bars.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if ((this.bars[middle]?.start ?? Infinity) <= at + 1e-9) low = middle;
      else high = middle - 1;
    }
    const bar = this.bars[low];
    return bar && at >= bar.start - 1e-9 && at <= bar.end + 1e-9 ? bar : undefined;
  }
}

function headsOf(systems: readonly System[]) {
  return new Map(systems.flatMap((system) => [...system.heads]));
}

function measureAt(systems: readonly System[], order: number) {
  for (const [index, system] of systems.entries()) {
    const measure = system.measures.find((m) => m.order === order);
    if (measure) return { ...measure, system: index };
  }
  return undefined;
}

function interpolate(points: readonly [number, number][], at: number): number {
  for (let i = 1; i < points.length; ++i) {
    const [left, right] = [points[i - 1], points[i]];
    if (!left || !right || (at > right[0] && i + 1 < points.length)) continue;
    const share = (at - left[0]) / Math.max(right[0] - left[0], 1e-9);
    return left[1] + Math.min(1, Math.max(0, share)) * (right[1] - left[1]);
  }
  return points[0]?.[1] ?? 0;
}
