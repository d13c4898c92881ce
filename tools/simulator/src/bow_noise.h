#pragma once

#include "endpin/simulator/random.h"

namespace endpin::simulator {

/// White noise through a broad resonance around a sixteenth of the sampling rate, about 1 strong.
class BowNoise {
 public:
  double next(Random& random) {
    const double white = 3.4 * (random.uniform() - 0.5);
    const double out = 0.25 * white + 1.25 * last_ - 0.5 * before_;
    before_ = last_;
    last_ = out;
    return out;
  }

 private:
  double last_ = 0;
  double before_ = 0;
};

}  // namespace endpin::simulator
