#pragma once

#include <span>

#include "align/path.h"

namespace endpin::listen {

/// A4 of the player, cents above 440 Hz, and its standard error.
struct Tuning {
  double cents = 0;
  double doubt = 0;
};

/// A4 of the player, cents above 440 Hz, from the notes as placed: their mean deviation, weighed
/// against the habit of tuning to 440–442 (2 ± 10 cents, ours), so that a player who wavers is not
/// taken for an instrument that is tuned low. `shift_cents`: the tuning that the evidence used.
Tuning heard_tuning(const ScoreModel& score, const Observations& seen,
                    std::span<const Placed> placed, double shift_cents);

}  // namespace endpin::listen
