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

/// A note that lasted some time where another stood written, for one token: the logarithm of how
/// likely that is, a Student-t on that of their ratio, and what the tempo is learnt from.
struct Duration {
  float score = 0;
  float ratio = 0;  ///< log of real over written
  float noise = 0, prior = 0, surprise = 0;
};

/// `score` is never above −0.1. REQUIRES: seconds > 0, written > 0.
Duration duration_of(const Token& token, float seconds, float written);

/// The token after such a note: its score with the duration's, the tempo a scalar Kalman filter
/// (Cemgil et al. 2000) with a gain that falls with the surprise. The first note sets the tempo,
/// from half to double.
Token after_duration(const Token& token, const Duration& lasted);

}  // namespace endpin::listen
