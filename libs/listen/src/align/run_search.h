#pragma once

#include <span>
#include <vector>

#include "align/run.h"

namespace endpin::listen {

// Costs, natural logarithms, ours: a fault has to explain more than a handful of frames.
constexpr float gap_cost = 1.0F, other_cost = 5.0F;

/// Fills the stages' scores: exact semi-Markov search over pairs of neighbouring onsets (and over
/// one stage left out), a gap or a tone put in between them, in both directions. O(stages ·
/// window²).
void search_run(const ScoreModel& score, const Observations& seen, Run& run);

/// The same, to a thousandth, of a run that was searched before other lengths were expected of the
/// stages in `changed`. O(window²) for each stage that is not only moved by a constant.
void search_run_again(const ScoreModel& score, const Observations& seen,
                      const std::vector<bool>& changed, Run& run);

/// How likely stage `k` begins at each frame between the beginnings `from` and `to` of its
/// neighbours, however long each of the two then lasts: log likelihoods, [frame − from], never at
/// the ends. O(to − from). REQUIRES: 0 < k, k + 1 < stages; from < to.
std::vector<float> beginnings_between(const ScoreModel& score, const Observations& seen, Run& run,
                                      std::size_t k, int from, int to);

/// The best way's score, were stage `k - 1` expected to last `first_s` and stage `k` `second_s`,
/// all places of the run being free. O(window²). REQUIRES: a run searched; 0 < k, k + 2 < stages.
float best_shared(const ScoreModel& score, const Observations& seen, Run& run, std::size_t k,
                  double first_s, double second_s);

}  // namespace endpin::listen
