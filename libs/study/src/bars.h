#pragma once

#include <string>
#include <vector>

#include "endpin/timeline/timeline.h"

namespace endpin::study_internal {

/// A written bar with its notes, as it is first played.
struct WrittenBar {
  std::string number;
  int index = 0;    ///< in Timeline::bars
  int written = 0;  ///< in Part::bars
  int times = 1;    ///< how often it is played
  Beats start;
  Beats length;
  Beats beat;  ///< what is counted in it, in quarters
  int beats = 4;
  int beat_type = 4;
  /// Where in its metre's bar it begins: above 0 for a pickup and for the second half of a split
  /// bar.
  Beats begins;
  std::vector<const TimelineNote*> notes;
};

/// Each written bar once, in the order of playing. The pointers are into `timeline`.
std::vector<WrittenBar> written_bars(const Timeline& timeline);
/// Each written note once.
std::vector<const TimelineNote*> written_notes(const Timeline& timeline);
/// What a metre counts: quarters, halves, dotted quarters.
Beats beat_of(int beats, int beat_type);
/// 1 for what falls into the first beat of the metre.
int beat_number(const WrittenBar& bar, Beats in_bar);

}  // namespace endpin::study_internal
