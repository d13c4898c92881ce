#pragma once

#include <limits>
#include <span>
#include <vector>

#include "align/path.h"

/// A run: events played one after the other without a jump, as the second pass searches them.
namespace endpin::listen {

constexpr float unreached = -std::numeric_limits<float>::infinity();

/// One event of a run with the frames of the onset grid in which it may begin.
struct Stage {
  int event = 0;
  double guess_s = 0;
  double expected_s = 0;  ///< to the next event
  bool extra_after = false;
  bool fixed = false;               ///< the end of the run
  int from = 0, to = 0;             ///< frames, inclusive
  std::vector<float> begins;        ///< [frame]: log likelihood that it begins there
  std::vector<float> forward;       ///< [frame]: of the best way to it, its beginning counted
  std::vector<float> backward;      ///< [frame]: of the best way from it to the run's end
  std::vector<int> best_before;     ///< [frame]: frame of the stage before
  std::vector<unsigned char> over;  ///< [frame]: reached over a stage left out
  int size() const { return to - from + 1; }
};

struct Run {
  std::vector<Stage> stages;  ///< the last stands for the end
  bool jumped_to = false, extra_before = false;
};

/// A stage for every event from the run's first to its last, those left out between their
/// neighbours, each with the window in which it is sought. REQUIRES: `placed` not empty.
Run stages_of(const ScoreModel& score, std::span<const Placed> placed, double step_s,
              std::size_t frames);

}  // namespace endpin::listen
