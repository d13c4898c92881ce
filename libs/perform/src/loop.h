#pragma once

#include <cstddef>
#include <vector>

namespace endpin {

struct Loop {
  std::size_t start = 0, end = 0;  ///< samples; playing goes on at `start` instead of at `end`
};

/// Makes `samples` repeat without a seam from about `start` on for about `length`: the end is
/// placed where the wave is most like the one before `start`, within a period of `period` samples,
/// and the `fade` samples before it are faded over into those before the start. REQUIRES: fade <=
/// start, start + length + period < samples.size().
Loop make_loop(std::vector<float>& samples, std::size_t start, std::size_t length, double period,
               std::size_t fade);

}  // namespace endpin
