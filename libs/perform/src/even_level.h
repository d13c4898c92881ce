#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace endpin {

/// Root mean square around every `hop`-th sample, over `width` samples (shorter at the beginning:
/// an attack is not smeared backwards). O(samples).
std::vector<double> level_track(std::span<const float> samples, std::size_t hop, std::size_t width);

/// Brings a bowed tone to the constant level `target`: each sample times target over its level, at
/// most `most` times louder. O(samples).
void even_out(std::span<float> samples, double target, std::size_t width, double most);

}  // namespace endpin
