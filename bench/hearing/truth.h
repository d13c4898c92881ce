#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "endpin/base/result.h"
#include "endpin/base/units.h"
#include "endpin/timeline/timeline.h"

namespace endpin::measures {

/// One row of a recording's truth, set against the timeline.
struct TrueNote {
  std::vector<int> indices;  ///< timeline notes that the row stands for: several for a unison
  int midi = 60;
  Seconds onset;
  Seconds offset;
  bool complete = true;  ///< false: cut by the recording's end, its offset is no truth
};

/// Reads comma-separated rows under a header line that names at least onset_s, offset_s and midi,
/// and either `index` (the place in played order) or `score_position_quarters` (quarters after the
/// first full bar); `complete` is 1 where it is missing. Rows by position are set on the notes of
/// that pitch at that place. Errors: a column missing, a field that is no number, a row whose note
/// the timeline does not have.
Result<std::vector<TrueNote>> read_truth(std::string_view csv, const Timeline& timeline);

}  // namespace endpin::measures
