/// What the page of a take shows beside the hearing. All of it is read before any of it is shown: what
/// came later would move what is just being pressed.
import { read } from "../api/client";
import { orElse } from "../app/desk.svelte";
import {
  decision, lesson, message, piece, proposal, rubricRow, student, take as takeShape,
  type Decision, type Lesson, type Message, type Piece, type Proposal, type RubricRow, type Student, type Take,
} from "../contracts/desk";
import { list, object } from "../contracts/shape";
import { spoken } from "../words/words.svelte";
import { remarks } from "./remarks.svelte";

/// Whose a take may be, and what it may be of.
export interface Choices {
  students: readonly Student[];
  pieces: readonly Piece[];
  lessons: readonly Lesson[];
  /// Lessons that the take's student was given.
  own: ReadonlySet<number>;
  /// Takes of the same lesson or piece that were heard against an earlier score.
  earlier: readonly Take[];
}

/// The teacher's words on a take, and what follows from them.
export interface Told {
  decisions: readonly Decision[];
  rows: readonly RubricRow[];
  message: Message;
  next: readonly Proposal[];
}

export async function readChoices(take: Take): Promise<Choices> {
  const [students, pieces, lessons, own, earlier] = await Promise.all([
    read(object({ students: list(student) }), "/students"),
    read(object({ pieces: list(piece) }), "/pieces"),
    lessonsOf({}),
    take.student ? lessonsOf({ student: take.student.id }) : [],
    take.earlier_score && take.piece ? readEarlier(sameScore(take, take.piece.id)) : [],
  ]);
  return {
    students: students.students, pieces: pieces.pieces, lessons, own: new Set(own.map((l) => l.id)), earlier,
  };
}

async function lessonsOf(query: { student?: number }): Promise<readonly Lesson[]> {
  return (await read(object({ lessons: list(lesson) }), "/lessons", query)).lessons;
}

export type SameScore = { lesson: number } | { piece: number };
/// Those that are heard again together.
export function sameScore(take: Take, piece: number): SameScore {
  return take.lesson ? { lesson: take.lesson } : { piece };
}
export async function readEarlier(of: SameScore): Promise<readonly Take[]> {
  const most = 1000;
  return (await read(object({ takes: list(takeShape) }), "/takes", { ...of, earlier: true, limit: most })).takes;
}

export async function readTold(take: Take): Promise<Told> {
  const path = `/takes/${take.id}`;
  const [decided, rubric, following] = await Promise.all([
    orElse(read(object({ decisions: list(decision) }), `${path}/decisions`), { decisions: [] }),
    orElse(read(object({ rows: list(rubricRow) }), `${path}/rubric`), { rows: [] }),
    readFollowing(take),
    remarks.load(),
  ]);
  return { decisions: decided.decisions, rows: rubric.rows, ...following };
}

/// What follows from the decisions on findings.
export async function readFollowing(take: Take): Promise<Pick<Told, "message" | "next">> {
  const path = `/takes/${take.id}`;
  const [words, next] = await Promise.all([
    orElse(read(message, `${path}/message`), { words: "", origin: "proposed" as const }),
    take.piece
      ? orElse(read(object({ items: list(proposal) }), `${path}/next`, { lang: spoken() }), { items: [] })
      : { items: [] },
  ]);
  return { message: words, next: next.items };
}
