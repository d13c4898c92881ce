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

/// Tracks a tone that lies within ±60 cents of `expected`: its first harmonics (up to ten, up to
/// 5 kHz) are brought down to rest by a complex oscillator each and windowed (Hann, four periods:
/// the other harmonics fall on the window's zeros); what still turns is the deviation (phase
/// vocoder: Flanagan & Golden 1966). The value is the median of the harmonics, weighed by their
/// amplitudes: one that beats with its own loop, as in sound fonts, has no say. O(samples).
PitchTrack track_pitch(std::span<const float> samples, Hertz expected);

/// How far `samples` lie above `expected` on the whole, by the similarity of the wave with itself a
/// few periods later (normalised autocorrelation: McLeod & Wyvill 2005), which weighs all harmonics
/// as an ear does; within ±40 cents. 0 where nothing repeats. O(samples).
double mean_cents(std::span<const float> samples, Hertz expected);

/// How much the wave repeats at `expected` (or up to 30 cents beside it): 1 wholly, 0 not at all.
/// O(samples).
double repetition(std::span<const float> samples, Hertz expected);

/// Running mean over about `width` samples, the ends held.
std::vector<double> smoothed(const std::vector<double>& values, std::size_t width);

}  // namespace endpin
