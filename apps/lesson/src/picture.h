#pragma once

#include "endpin/engraving/engraving.h"
#include "endpin/notation/write.h"
#include "endpin/score/score.h"

namespace endpin::app {

/// `part` of `score` alone, without its name: the sheet's head says it.
Score part_alone(const Score& score, int part);

/// Asks for a picture with `shown` on it, its staves `width` millimetres wide and `staff_height`
/// high, systems where the score has its breaks; with `lighter`, what Endpin proposed is drawn
/// lighter than what is printed. Pictures that share a page need different seeds.
EngraveRequest picture_request(const Score& score, const MarkingsById& shown, double width,
                               double staff_height, int seed, bool lighter = true);

}  // namespace endpin::app
