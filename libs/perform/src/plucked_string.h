#pragma once

#include <cstddef>
#include <string_view>
#include <vector>

namespace endpin {

/// A string plucked by a finger, modelled: a delay loop of one period with a lossy low pass and an
/// all pass for the fraction of a sample (Karplus & Strong 1983; Jaffe & Smith 1983), excited at a
/// fifth of its length, heard through the lowest modes of the instrument's body. In tune by its
/// make, its attack at sample 0. Deterministic. O(count).
std::vector<float> plucked_string(std::string_view instrument, int midi, std::size_t count);

}  // namespace endpin
