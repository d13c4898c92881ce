#pragma once

#include <span>
#include <vector>

namespace endpin {

/// Integrated loudness in LUFS by ITU-R BS.1770-4 (K weighting of its table 1 and 2 for 48 kHz,
/// blocks of 400 ms every 100 ms, gates at -70 LUFS and 10 LU below); nothing if all is gated.
/// `samples` are one channel at 48 kHz. O(samples).
double loudness(std::span<const float> samples);

/// Holds the true peak (four times oversampled, BS.1770-4 annex 2) at or below `ceiling` by turning
/// the gain down around peaks: 5 ms before and after, a smooth curve, no distortion in between.
void limit(std::span<float> samples, double ceiling);

}  // namespace endpin
