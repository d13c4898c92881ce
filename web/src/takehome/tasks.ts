/// What there is to do this week, in the teacher's order, each with what to play.
import type { Lesson } from "../contracts/lesson";
import type { Timeline } from "../contracts/timeline";

export interface Task {
  key: string;
  kind: "warm-up" | "drill" | "piece";
  title: string;
  says: string;
  /// Bars of the piece that it is made of; empty for the piece itself.
  bars: string[];
  timeline: Timeline;
  /// Beats a minute to begin with, and those to climb to.
  tempo: number;
  rungs: number[];
}

export function tasksOf(lesson: Lesson): Task[] {
  const order = lesson.order.length > 0 ? lesson.order : lesson.items.filter((i) => i.ticked).map((i) => i.key);
  const rungs = lesson.ladder.rungs.map((rung) => Math.round(rung.per_minute));
  const tasks = order.flatMap((key): Task[] => {
    const exercise = lesson.exercises.find((e) => e.key === key);
    if (!exercise) return [];
    return [
      {
        key,
        kind: exercise.kind === "drill" ? "drill" : "warm-up",
        title: exercise.title,
        says: exercise.says,
        bars: exercise.bars,
        timeline: exercise.timeline,
        tempo: Math.round(exercise.per_minute),
        rungs: [],
      },
    ];
  });
  const piece = lesson.items.find((item) => item.kind === "piece");
  tasks.push({
    key: "piece",
    kind: "piece",
    title: lesson.title,
    says: piece?.why ?? "",
    bars: [],
    timeline: lesson.piece.timeline,
    tempo: rungs[0] ?? Math.round(lesson.tempo.goal_per_minute),
    rungs,
  });
  return tasks;
}
