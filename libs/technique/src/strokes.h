#pragma once

#include <vector>

#include "endpin/technique/bowing.h"
#include "endpin/timeline/timeline.h"

namespace endpin::technique {

/// Notes of one bow in played order, with what the bowing needs to know about them.
struct StrokeNotes {
  std::vector<int> notes;  ///< indices into Timeline::notes
  StrokePlace place;
  int bar = 0;         ///< index into Timeline::bars of its first note
  bool again = false;  ///< all its notes have been played in an earlier pass
};

/// Slurred notes are one stroke, notes that start together too; all else is a stroke of its own.
std::vector<StrokeNotes> strokes(const Timeline& timeline);

}  // namespace endpin::technique
