#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace endpin {

/// Root mean square around every `hop`-th sample, over `width` samples (shorter at the beginning:
/// an attack is not smeared backwards). O(samples).
std::vector<double> level_track(std::span<const float> samples, std::size_t hop, std::size_t width);

/// Takes out what lies well below `pitch_hz`: a room's rumble that evening out would lift
/// (Butterworth, second order, at half of the pitch). O(samples).
void remove_rumble(std::span<float> samples, double pitch_hz);

/// Brings a bowed tone to the constant level `target`: each sample times target over its level, at
/// most `most` times louder. O(samples).
void even_out(std::span<float> samples, double target, std::size_t width, double most);

}  // namespace endpin
