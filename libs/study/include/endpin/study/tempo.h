#pragma once

#include <span>
#include <string_view>
#include <vector>

#include "endpin/base/beats.h"
#include "endpin/timeline/timeline.h"

namespace endpin {

/// The 39 traditional metronome marks, 40 … 208.
std::span<const int> metronome_marks();
/// The highest mark not above `per_minute`; 40 below that.
int mark_at_or_below(double per_minute);
/// `steps` marks further up (down, if negative), held to the scale's ends.
int mark_steps_from(int mark, int steps);

struct TempoPlan {
  Beats beat_unit{1};       ///< what is counted, in quarters
  int target = 60;          ///< beat units a minute
  bool from_score = false;  ///< else proposed by step and densest bar
  std::vector<int> ladder;  ///< at most five marks, the last is the target
};

/// From about 55 % of the target up to it in at most `rungs` marks.
std::vector<int> ladder(int target, int rungs = 5, double start = 0.55);
TempoPlan plan_tempo(const Timeline& timeline, std::string_view step);

}  // namespace endpin
