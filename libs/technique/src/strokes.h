#pragma once

#include <string>
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

/// A bar without a first beat of its own: the short first one, and the second half of a bar that a
/// repeat or a double bar splits.
bool is_pickup_bar(const Timeline& timeline, std::size_t bar);

/// A part's strokes with everything that was decided about them; the vectors are parallel.
struct BowedLine {
  const Timeline& timeline;
  std::vector<StrokeNotes> strokes;
  std::vector<BowedStroke> bowed;
  std::vector<BowSpan> plan;

  const TimelineNote& first_note(std::size_t stroke) const {
    return timeline.notes[static_cast<std::size_t>(strokes[stroke].notes.front())];
  }
  const std::string& first_id(std::size_t stroke) const { return first_note(stroke).id; }
  const std::string& bar(std::size_t stroke) const { return first_note(stroke).bar; }
};

}  // namespace endpin::technique
