#pragma once

#include <vector>

#include "endpin/listen/listen.h"

#include "backing/place_backing.h"

namespace endpin::listen {

/// How much of a recording's energy a known sound had, moment by moment.
struct Cover {
  struct Step {
    float whole = 0;         ///< energy before it was taken out
    float rest = 0;          ///< and after
    double covered() const;  ///< share that was taken out, 0…1
  };
  std::vector<Step> steps;  ///< the first at 0 s
  double step_s = 0;

  /// Share of the energy that is left, of all steps.
  double left() const;
  /// Share of the energy that was taken out between two times; 0 where there was none.
  double covered_between(Seconds from, Seconds to) const;
};

/// A recording from which a known sound was taken out.
struct Uncovered {
  std::vector<float> samples;
  double sample_rate_hz = 0;
  Cover cover;

  AudioView view() const { return {samples, sample_rate_hz}; }
};

/// Takes `backing` out of the recording in which it lies as `placement` says: first the waveform
/// that arrives of it (`arriving`), louder or softer where gain control made it so; then what that
/// leaves, of an early room's echoes, a codec, a loudspeaker that distorts: how much of each band
/// that is, is estimated from the moments in which nobody plays there (the low quantile of the
/// ratios of magnitudes), and every cell of the short-time spectrum loses twice that much, with the
/// decay of a room behind it (spectral subtraction, Boll 1979). O(length).
Uncovered uncover(AudioView recording, AudioView backing, const Placement& placement);

}  // namespace endpin::listen
