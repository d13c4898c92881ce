#pragma once

#include <vector>

#include "align/observations.h"
#include "align/score_model.h"

namespace endpin::listen {

/// An event that was placed in the recording.
struct Placed {
  int event = 0;
  double onset_s = 0;
  double end_s = 0;             ///< where the next began, or playing left the score
  bool jumped_to = false;       ///< reached by the hub: the first, or after a restart
  bool skipped_before = false;  ///< the event before it was left out
  bool extra_before = false;    ///< something that the score does not tell came before
};

struct Path {
  std::vector<Placed> placed;  ///< in the order of time
  double score = 0;            ///< log likelihood against "anything" over the whole take
};

/// The likeliest way through the score over the whole take.
///
/// A segmental hidden Markov model (Ostendorf et al. 1996; durations as in Cont 2010, "A coupled
/// duration-focused architecture for real-time music-to-score alignment") over the candidates:
/// a note lasts from one candidate to another, its duration is scored by a Student-t on the
/// logarithm against a tempo that every hypothesis tracks by itself (a scalar Kalman filter on the
/// logarithm, Cemgil et al. 2000), notes may be left out, be another's, be followed by extra ones;
/// one hub leaves the score anywhere and enters it anywhere, at bar lines for less. Beam search:
/// O(candidates · live events · candidates in reach); memory O(live hypotheses).
Path coarse_path(const ScoreModel& score, const Observations& seen,
                 const std::vector<Candidate>& candidates, const Progress& progress);

}  // namespace endpin::listen
