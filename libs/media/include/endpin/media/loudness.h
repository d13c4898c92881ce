#pragma once

#include "endpin/base/audio.h"
#include "endpin/base/result.h"

namespace endpin {

/// Loudness by EBU R 128 / ITU-R BS.1770, as libavfilter's ebur128 measures it.
struct Loudness {
  double integrated_lufs = -70;  ///< -70 where everything lies below the gate
  double true_peak_dbtp = -120;
};

/// One channel is measured as one channel (not as two equal ones). O(samples).
Result<Loudness> measure_loudness(const Audio& audio);

}  // namespace endpin
