#pragma once

#include "align/path.h"

namespace endpin::listen {

/// Adds to a path the notes at an item's beginning and end that the search left out, a few at most,
/// because another tone than the written one stands in one of their places: where a steady tone
/// begins when each would, at the pace that is kept beside them. What it is, is judged later.
/// O(events).
void reach_outer_notes(const ScoreModel& score, const Observations& seen, Path& path);

}  // namespace endpin::listen
