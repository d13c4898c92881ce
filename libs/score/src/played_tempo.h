#pragma once

#include "endpin/score/unfold.h"

namespace endpin {

/// Fills the tempo map and the beat unit of `timeline`, whose bars are set. Tempo marks of any part
/// count: many programs print them above the first one only.
void set_tempo(const Score& score, int part, const PlayedOrder& order, Timeline& timeline);

}  // namespace endpin
