/// What it takes to show a piece: its facts, how it is played, its engraved pages.
import { read } from "../api/client";
import { listen } from "../api/events";
import { engraving, piece, type Piece } from "../contracts/desk";
import { timeline } from "../contracts/timeline";
import { Part } from "../engraving/part";
import { ifThere } from "../app/desk.svelte";
import { Marker } from "./marker.svelte";

/// Below this many CSS pixels a wide line would make the staff too small to read at arm's length.
const narrowBelow = 640;

export interface OpenPiece {
  piece: Piece;
  part: Part;
  marker: Marker;
}

/// The piece with its pages and the markings in force.
export async function openPiece(id: number): Promise<OpenPiece> {
  const marker = new Marker(id);
  const [facts, played, pages] = await Promise.all([
    read(piece, `/pieces/${id}`),
    read(timeline, `/pieces/${id}/timeline`),
    engravedPages(`/pieces/${id}`, id),
    ifThere(() => marker.load()),
  ]);
  return { piece: facts, part: new Part(played, pages, "own"), marker };
}

/// An exercise that was heard in a take of `piece`, as `/takes/7/items/2`.
export async function openExercise(path: string, piece: number): Promise<Part> {
  const [played, pages] = await Promise.all([
    read(timeline, `${path}/timeline`),
    engravedPages(path, piece),
  ]);
  return new Part(played, pages, "own");
}

/// Waits for the engraver where it is still at work; it tells of it under `piece`.
async function engravedPages(path: string, piece: number): Promise<string[]> {
  const shape = innerWidth < narrowBelow ? "narrow" : undefined;
  for (;;) {
    const answer = await read(engraving, `${path}/engraving`, { shape });
    if (answer.state === "ready") return answer.pages;
    if (answer.state === "failed") throw new Error(engravingFault(answer));
    await nextEngraving(piece);
  }
}

function engravingFault(answer: object): string {
  const error = (answer as { error?: { line?: string } }).error;
  return error?.line ?? "engraving";
}

function nextEngraving(id: number): Promise<void> {
  return new Promise((resolve) => {
    // A missed event must not leave the page waiting, so look again after two seconds.
    const done = () => {
      stop();
      clearTimeout(timer);
      resolve();
    };
    const timer = setTimeout(done, 2000);
    const stop = listen((h) => void (h.what === "piece" && h.id === id && done()));
  });
}
