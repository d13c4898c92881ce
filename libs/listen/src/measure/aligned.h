#pragma once

#include <vector>

#include "align/fine_path.h"

namespace endpin::listen {

/// Everything that was found out before the notes are judged.
struct Aligned {
  const ScoreModel& score;
  const Observations& seen;
  std::vector<Fine> events;  ///< in the order of time
  double shift_cents = 0;    ///< A4 above 440 Hz

  /// The event of the score that was placed `i`-th.
  const Event& event(std::size_t i) const {
    return score.events[static_cast<std::size_t>(events[i].event)];
  }
};

}  // namespace endpin::listen
