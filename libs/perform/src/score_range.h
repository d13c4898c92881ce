#pragma once

#include <string>

#include "endpin/base/result.h"
#include "endpin/timeline/timeline.h"

namespace endpin {

/// A stretch of a timeline: played bars and the notes that begin in them, all ends included.
struct ScoreRange {
  std::size_t first_bar = 0, last_bar = 0;
  int first_note = 0, last_note = 0;
  Beats start, end;
};

/// From the first time through bar `first` to the next time through bar `last`; empty names stand
/// for the ends. Errors: no such bar, `last` before `first`, no note in between.
Result<ScoreRange> score_range(const Timeline& timeline, const std::string& first,
                               const std::string& last);

}  // namespace endpin
