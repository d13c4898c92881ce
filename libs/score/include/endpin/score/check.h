#pragma once

#include <cstddef>
#include <vector>

#include "endpin/score/score.h"

namespace endpin {

/// What a careful reader would query in the notation: bars that do not add up, ties to nowhere,
/// notes outside the instrument's range, voices that collide. Each with its line in the file where
/// it is known, its bar, and what to do. Pickups, split bars and bars cut by repeats are in order.
/// O(notes).
std::vector<Warning> check_notation(const Score& score);

/// A bar that lasts other than its metre asks, and is neither a pickup nor cut in an orderly way.
struct UnevenBar {
  std::size_t index = 0;  ///< in every part
  TimeSignature time;
};
std::vector<UnevenBar> uneven_bars(const Score& score);

}  // namespace endpin
