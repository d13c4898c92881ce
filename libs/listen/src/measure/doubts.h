#pragma once

#include "align/fine_path.h"
#include "align/score_model.h"

/// How far what is measured of a note may be off, and how sure it is the note at all. Fitted on
/// simulated takes (voices below 100, ten conditions and an ensemble, every other take with a
/// fault): `endpin-bench-hearing --only confidence --fitting --rows FILE`, then the quantile of
/// 68 % of the errors in each class; the same section without `--fitting` checks other voices.
namespace endpin::listen {

/// Standard error of where `event` begins, seconds, if it was rightly found.
double onset_doubt_s(const Event& event, const Fine& fine);

/// Standard error of an end that is not told by the note's own partials. `in_bow`: the bow goes on
/// into the next note, which begins with an error of `next_doubt_s`.
double offset_doubt_s(bool in_bow, double next_doubt_s);

/// The probability that a note is the one written, from a score (0…1) that only ranks: isotonic
/// regression (Zadrozny & Elkan 2002), straight lines between its steps.
double calibrated(double score);

}  // namespace endpin::listen
