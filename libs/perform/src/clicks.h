#pragma once

#include <span>
#include <vector>

#include "endpin/perform/perform.h"

#include "score_range.h"

namespace endpin {

/// Where the clicks of a performance lie, in quarters of the timeline: before `range.start` those
/// of the count-in.
struct Beat {
  Beats at;
  bool accented = false;
  bool count_in = false;
  bool operator==(const Beat&) const = default;
};

/// `bars` full bars, then the beats that a pickup leaves open; empty for 0 bars.
std::vector<Beat> count_in(const Timeline& timeline, const ScoreRange& range, int bars);
/// Every beat of the range; in a pickup beats are counted back from its end.
std::vector<Beat> beats(const Timeline& timeline, const ScoreRange& range);

/// Adds one click to `out` at `at`: two short partials that no string plays, no click before its
/// time.
void add_click(std::span<float> out, Seconds at, bool accented);

}  // namespace endpin
