#pragma once

#include <optional>
#include <span>
#include <vector>

#include "align/fine_path.h"

namespace endpin::listen {

/// The beat that a player keeps around each event, from the event's neighbours alone.
struct LocalBeat {
  std::optional<double> deviation_s;  ///< onset later than the neighbours' beat says
  double doubt_s = 0;                 ///< standard error of what that beat says
  double seconds_per_written = 1;     ///< real over written duration around here
};

/// One for each of `events`, which are in the order of time. The beat is a weighted straight line
/// through the neighbours' (written, real) times within about four beats, the event itself and
/// outlying ones left out (two rounds of Tukey's biweight): lag and tempo of the player are in it.
/// O(events · neighbours).
std::vector<LocalBeat> local_beats(const ScoreModel& score, std::span<const Fine> events);

}  // namespace endpin::listen
