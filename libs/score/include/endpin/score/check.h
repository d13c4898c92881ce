#pragma once

#include <vector>

#include "endpin/score/score.h"

namespace endpin {

/// What a careful reader would query in the notation: bars that do not add up, ties to nowhere,
/// notes outside the instrument's range, voices that collide. Each with its line in the file where
/// it is known, its bar, and what to do. Pickups, split bars and bars cut by repeats are in order.
/// O(notes).
std::vector<Warning> check_notation(const Score& score);

}  // namespace endpin
