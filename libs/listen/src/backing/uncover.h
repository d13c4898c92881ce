#pragma once

#include <vector>

#include "endpin/listen/listen.h"

namespace endpin::listen {

/// A recording from which a known sound was taken out.
struct Uncovered {
  std::vector<float> samples;
  double sample_rate_hz = 0;
  double left = 1;             ///< share of the energy that is left
  std::vector<float> covered;  ///< [step]: share of the energy that was taken out
  double step_s = 0;

  AudioView view() const { return {samples, sample_rate_hz}; }
  /// Mean share that was taken out between two times.
  double covered_between(Seconds from, Seconds to) const;
};

/// Takes `backing`, which begins `at` in the recording, out of it: how loud each band of it arrives
/// is estimated from the moments in which it stands alone there (the low quantile of the ratios of
/// magnitudes), and every cell of the short-time spectrum loses twice that much, with the decay of
/// a room behind it (spectral subtraction, Boll 1979). Knows no phases, so neither a loudspeaker
/// nor a drifting clock disturbs it; what the player plays no louder than the backing does, at the
/// same pitch and moment, is lost with it. O(length).
Uncovered uncover(AudioView recording, AudioView backing, Seconds at);

}  // namespace endpin::listen
