#pragma once

#include <vector>

#include "endpin/base/units.h"

namespace endpin {

/// One channel of sound. Samples are finite, full scale is ±1; sample n sounds at n / rate.
struct Audio {
  int rate = 48000;  ///< samples a second, above 0
  std::vector<float> samples;

  Seconds duration() const { return Seconds(static_cast<double>(samples.size()) / rate); }
  bool operator==(const Audio&) const = default;
};

}  // namespace endpin
