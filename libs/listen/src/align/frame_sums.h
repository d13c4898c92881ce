#pragma once

#include <algorithm>
#include <vector>

#include "align/observations.h"

namespace endpin::listen {

// Frames 10 ms apart share most of an 80 ms window: each counts for a quarter.
constexpr float frame_weight = 0.25F;

/// Prefix sums at candidates of one kind of frame score.
class FrameSums {
 public:
  template <typename F>
  FrameSums(const std::vector<Candidate>& candidates, std::size_t frames, F&& score) {
    at_.reserve(candidates.size());
    double sum = 0;
    std::size_t frame = 0;
    for (const Candidate& c : candidates) {
      const std::size_t until = std::min(frames, c.frame / 2);
      for (; frame < until; ++frame) sum += static_cast<double>(score(frame));
      at_.push_back(static_cast<float>(sum * static_cast<double>(frame_weight)));
    }
  }
  float operator[](std::size_t i) const { return at_[i]; }

 private:
  std::vector<float> at_;
};

}  // namespace endpin::listen
