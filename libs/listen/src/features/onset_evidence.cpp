#include "features/onset_evidence.h"

#include <algorithm>
#include <cmath>

namespace endpin::listen {

std::vector<float> onset_evidence(std::span<const OnsetFrame> onset, double step_s) {
  const std::size_t n = onset.size();
  std::vector<float> evidence(n, -2);
  const std::size_t around = static_cast<std::size_t>(0.6 / step_s);
  const std::size_t stride = 6;
  std::vector<float> sample;
  float usual = 1;
  for (std::size_t i = 0; i < n; ++i) {
    if (i % 10 == 0) {
      sample.clear();
      const std::size_t from = i > around ? i - around : 0, to = std::min(n, i + around);
      for (std::size_t j = from; j < to; j += stride) sample.push_back(onset[j].flux_db);
      std::nth_element(sample.begin(),
                       sample.begin() + static_cast<std::ptrdiff_t>(sample.size() / 2),
                       sample.end());
      usual = std::max(0.25F, sample[sample.size() / 2]);
    }
    const float ratio = std::log(std::max(0.02F, onset[i].flux_db) / usual);
    evidence[i] = std::clamp(2.2F * (ratio - 0.75F), -2.0F, 3.5F);
  }
  return evidence;
}

}  // namespace endpin::listen
