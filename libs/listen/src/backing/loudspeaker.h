#pragma once

#include <span>
#include <vector>

namespace endpin::listen {

/// What arrives in `recording` of `backing`: both at one rate, sample for sample in time. The way
/// from loudspeaker to microphone is one linear filter of some 0.1 s, smooth over frequency; it is
/// estimated where the backing stands alone, by weighing each cell of the short-time spectra with
/// what it leaves unexplained (least squares weighted again and again, a Cauchy error: Holland &
/// Welsch 1977), so that a player above it, in unison too, is not taken for the loudspeaker.
/// O(length), with memory for at most 400 spectra.
std::vector<float> arriving(std::span<const float> recording, std::span<const float> backing);

}  // namespace endpin::listen
