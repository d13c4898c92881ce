/// `endpin.study/1`: what was found in a piece.
import { object, oneOf, text, type Of } from "./shape";

export const study = object({ schema: oneOf("endpin.study/1"), title: text });
export type Study = Of<typeof study>;
