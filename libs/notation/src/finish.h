#pragma once

#include "endpin/score/score.h"

#include "messages.h"

namespace endpin::notation {

/// What every reader leaves to the end: parts of one length, bars of one length in all parts,
/// repeat signs and jumps in every part, ids for every note, repeated bars filled in.
void finish(Score& score, Messages& messages);

}  // namespace endpin::notation
