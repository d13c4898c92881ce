#pragma once

#include <string>
#include <vector>

#include "endpin/lesson/drill.h"
#include "endpin/words/sentence.h"

namespace endpin {

/// One thing to reach this week.
struct Goal {
  Trouble trouble = Trouble::other;
  std::vector<std::string> bars;  ///< printed numbers
  Sentence for_child;
  Sentence for_adult;
};

inline constexpr int most_goals = 3;

/// At most three, in the places' order; places of one trouble share a goal. A goal names at most
/// four bars, or it would be no goal for a week.
std::vector<Goal> goals(const Part& part, const std::vector<DrillPlace>& places);

}  // namespace endpin
