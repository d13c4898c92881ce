#pragma once

#include <string>
#include <vector>

#include "endpin/timeline/timeline.h"

namespace endpin::study_internal {

/// A written bar with its notes, as it is first played.
struct WrittenBar {
  std::string number;
  int index = 0;  ///< in Timeline::bars
  Beats start;
  Beats length;
  Beats beat;  ///< what is counted in it, in quarters
  std::vector<const TimelineNote*> notes;
};

/// Each written bar once, in the order of playing. The pointers are into `timeline`.
std::vector<WrittenBar> written_bars(const Timeline& timeline);
/// Each written note once.
std::vector<const TimelineNote*> written_notes(const Timeline& timeline);
/// What a metre counts: quarters, halves, dotted quarters.
Beats beat_of(int beats, int beat_type);
/// 1 for what falls into the first beat.
int beat_number(const WrittenBar& bar, Beats in_bar);

}  // namespace endpin::study_internal
