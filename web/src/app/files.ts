/// Bringing files into the book: scores become pieces, recordings become takes.
import { send } from "../api/client";
import { piece, take, type Piece, type Take } from "../contracts/desk";
import { checked, flag, partial } from "../contracts/shape";

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
  sender?: string | undefined;
}

const receipt = partial({ duplicate: flag });

/// `duplicate`: the same bytes were in the book already, and the take that is there is answered.
export async function addTake(
  file: Blob,
  name: string,
  owner: TakeOwner = {},
): Promise<Take & { duplicate: boolean }> {
  const recorded =
    file instanceof File && file.lastModified > 0
      ? new Date(file.lastModified).toISOString().replace(/\.\d+Z$/, "Z")
      : undefined;
  const kept = await send(take, "/takes", file, { name, ...owner, recorded });
  return { ...kept, duplicate: checked(receipt, kept, "/takes").duplicate ?? false };
}
