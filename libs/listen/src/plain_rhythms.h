#pragma once

#include <array>
#include <cmath>

namespace endpin::listen {

/// What the first of two notes may take of their time in plain rhythms: 1 : 3 to 3 : 1.
inline constexpr std::array plain_shares{0.25, 1.0 / 3, 0.5, 2.0 / 3, 0.75};
/// Another rhythm has to be e^5 times as likely as the written one (ours: some 150 pairs are right
/// for one that is played otherwise).
inline constexpr double another_rhythm_cost = 5;

/// Whether two shares are of different rhythms.
inline bool other_rhythm(double share, double written) { return std::abs(share - written) >= 0.16; }

}  // namespace endpin::listen
