/// Bringing files into the book: scores become pieces, recordings become takes.
import { send } from "../api/client";
import { piece, take, type Piece, type Take } from "../contracts/desk";

const scores = /\.(musicxml|xml|mxl|abc|mid|midi)$/i;

export function isScore(file: { name: string }): boolean {
  return scores.test(file.name);
}

export async function addScore(file: File): Promise<Piece> {
  return send(piece, "/pieces", file, { name: file.name });
}

export interface TakeOwner {
  piece?: number | undefined;
  student?: number | undefined;
}

export async function addTake(file: Blob, name: string, owner: TakeOwner = {}): Promise<Take> {
  const recorded =
    file instanceof File && file.lastModified > 0
      ? new Date(file.lastModified).toISOString().replace(/\.\d+Z$/, "Z")
      : undefined;
  return send(take, "/takes", file, { name, ...owner, recorded });
}
