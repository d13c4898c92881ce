#pragma once

#include <span>
#include <vector>

#include "pitch_track.h"

namespace endpin {

/// `samples` read at the speed that lowers their pitch by the track, value by value: a track of
/// what it is too high makes it right. Windowed-sinc interpolation (16 points, Kaiser, -80 dB).
/// Yields as many samples as the input reaches for. O(samples).
std::vector<float> retune(std::span<const float> samples, const PitchTrack& track);

}  // namespace endpin
