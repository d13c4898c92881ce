#pragma once

#include <span>

#include "align/run.h"

namespace endpin::listen {

// Costs, natural logarithms, ours: a fault has to explain more than a handful of frames.
constexpr float gap_cost = 1.0F, other_cost = 5.0F;

/// Fills the stages' scores: exact semi-Markov search over pairs of neighbouring onsets (and over
/// one stage left out), a gap anywhere between them, in both directions. O(stages · window²).
void search_run(const ScoreModel& score, const Observations& seen,
                std::span<const float> onset_evidence, Run& run);

}  // namespace endpin::listen
