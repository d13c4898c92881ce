#pragma once

#include "endpin/score/score.h"

namespace endpin::notation {

/// Gives each part that has no clef the one of its instrument, or a treble or bass clef by where
/// its notes lie.
void settle_clefs(Score& score);

}  // namespace endpin::notation
