#pragma once

#include <string>
#include <vector>

#include "evaluation.h"

namespace endpin::evaluation {

/// What playing that was right was made of: accusations, false findings, and how well it was
/// placed.
struct RightTally {
  std::vector<measures::Share> accused, within_50_ms, within_100_ms;
  std::vector<measures::Share> falsely;  ///< takes with a finding to work on
  int findings = 0;                      ///< to work on

  RightTally& operator+=(const RightTally& other);
};

/// Whether the figures' intervals are drawn over takes or, of a single recording, over notes.
enum class DrawnOver { takes, notes };

/// Counts one take in which every note of `truth` was played right; what was said against it goes
/// to the failures under the name `on`. Of a unison one note heard is enough.
void count_right(const std::string& on, const Timeline& timeline,
                 const std::vector<measures::TrueNote>& truth, const Hearing& hearing,
                 DrawnOver drawn_over, RightTally& tally, Report& report);

/// Notes called wrong or missed, false findings; with `placed` also how many onsets lie within 50
/// and 100 ms.
void add_right_figures(const std::string& on, const RightTally& tally, const Settings& settings,
                       Report& report, bool placed = false);

}  // namespace endpin::evaluation
