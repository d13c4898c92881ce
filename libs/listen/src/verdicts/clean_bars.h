#pragma once

#include <optional>
#include <vector>

#include "verdicts/take_view.h"

namespace endpin::listen {

/// A bar, once through, in which every note was heard and none is to be worked on.
struct CleanBar {
  int first = 0, last = 0;  ///< notes, inclusive
};

/// A step that lasts so much too long, or is cut so much, that it is no proof of a tempo; nobody
/// says so, as it may be meant.
bool is_out_of_time(const TakeView& take, const Stride& step);

/// In played order. Findings of good things in `said` count for nothing.
std::vector<CleanBar> clean_bars(const TakeView& take, const std::vector<Finding>& said);

/// Beats a minute of the fastest stretch of two or more clean bars played on without a break; empty
/// where there is none. Measured from onset to onset: the last note's length counts for nothing.
std::optional<double> fastest_clean_bpm(const TakeView& take, const std::vector<CleanBar>& bars);

}  // namespace endpin::listen
