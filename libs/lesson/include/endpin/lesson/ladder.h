#pragma once

#include <optional>
#include <vector>

#include "endpin/base/beats.h"
#include "endpin/base/units.h"

/// A way to climb to a tempo: few rungs on the metronome's own scale, planned in minutes. It claims
/// little: research does not show that a rigid ladder beats other orders, so a player may leave it
/// at any time, and only the player says what was clean.
namespace endpin {

/// The mark of the metronome nearest to `per_minute` by ratio.
int nearest_mark(double per_minute);

struct Rung {
  double per_minute = 60;  ///< of Ladder::beat_unit; a mark, but for a goal between two marks
  int clean_runs = 3;      ///< so many before the next rung
  double minutes = 1;      ///< that they take, a broken run or two among them
  bool operator==(const Rung&) const = default;
};

struct Ladder {
  Beats beat_unit{1};       ///< what the click counts, in quarters
  std::vector<Rung> rungs;  ///< 1 to 5, ascending; the last is the goal
  bool from_heard = false;  ///< the first rung is the last tempo that was heard clean
  double minutes() const;   ///< of all rungs
  bool operator==(const Ladder&) const = default;
};

struct LadderRequest {
  Beats beat_unit{1};
  double goal_per_minute = 60;               ///< of `beat_unit`
  std::optional<double> clean_per_minute{};  ///< heard clean last, of `beat_unit`
  Beats length{16};                          ///< of one run, quarters
  double minutes = 12;                       ///< that there are, over the week
};

/// REQUIRES: goal and length above 0.
Ladder plan_ladder(const LadderRequest& request);

}  // namespace endpin
