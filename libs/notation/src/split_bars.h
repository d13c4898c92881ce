#pragma once

#include <vector>

#include "endpin/score/score.h"

namespace endpin::notation {

/// A repeat sign inside a bar.
struct Split {
  std::size_t bar = 0;
  Beats at;
  bool forward = false;  ///< a repeat begins there; otherwise one ends
};

/// Cuts the bars of all parts at `splits`, so that repeats stand at bar lines only. The second half
/// is outside the count. A note that crosses a cut stays in the first half.
void split_bars(Score& score, std::vector<Split> splits);

}  // namespace endpin::notation
