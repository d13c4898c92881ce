#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "endpin/base/units.h"

namespace endpin {

/// How far a tone lies above the pitch it ought to have, over time.
struct PitchTrack {
  std::size_t hop = 240;      ///< samples from one value to the next
  std::vector<double> cents;  ///< value i is centred on sample i * hop
};

/// Tracks a tone that lies within ±60 cents of `expected`: its first harmonics are brought down to
/// rest by a complex oscillator each and windowed (Hann, four periods: the other harmonics fall on
/// the window's zeros); what still turns is the deviation (phase vocoder: Flanagan & Golden 1966).
/// Harmonics are weighed by their energy. O(samples).
PitchTrack track_pitch(std::span<const float> samples, Hertz expected);

/// Running mean over about `width` samples, the ends held.
std::vector<double> smoothed(const std::vector<double>& values, std::size_t width);

}  // namespace endpin
