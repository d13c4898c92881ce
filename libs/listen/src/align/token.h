#pragma once

#include <limits>

namespace endpin::listen {

/// A hypothesis of the first pass: an event begins here, at a tempo that it tracks by itself.
struct Token {
  float score = -std::numeric_limits<float>::infinity();
  float tempo = 0;      ///< log of real over written duration
  float variance = -1;  ///< of it; below 0: not known yet
  int before = -1;      ///< the way to the note before, see WayBack
  int left_at = -1;     ///< candidate where that note was left for the hub; -1: it was not
  bool skipped = false, extra = false;
};

/// The token after a note that lasted `seconds` where `written` stood, its score with that of the
/// duration: a Student-t on the logarithm, the tempo a scalar Kalman filter (Cemgil et al. 2000)
/// with a gain that falls with the surprise. The first note sets the tempo, from half to double.
Token after_duration(const Token& token, float seconds, float written);

}  // namespace endpin::listen
