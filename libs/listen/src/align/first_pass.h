#pragma once

#include <span>

#include "endpin/timeline/timeline.h"

#include "align/path.h"

namespace endpin::listen {

/// A passage under a repeat that was played once sounds the same as either of its passes. Where the
/// take begins with the item's first bar, it was the first pass, and the second was left out.
/// Moves such places of `path` to the first pass; what follows them is then reached by a jump.
/// REQUIRES: `items` are those of `score`. O(notes).
void prefer_first_pass(const ScoreModel& score, std::span<const Timeline> items, Path& path);

}  // namespace endpin::listen
