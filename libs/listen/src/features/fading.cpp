#include "features/fading.h"

#include <algorithm>
#include <cmath>

namespace endpin::listen {
namespace {

constexpr double back_s = 0.18;  // a cycle at 5.5 Hz
// A room of 1.5 s loses 7.2 dB in that time, one of 3 s still 3.6; who plays softer by 10 dB within
// a second loses 1.8 dB, of all partials alike. Each decibel beyond the free one counts for
// `slope` more (ours; 2 and 4 place notes in rooms alike, 4 a little better).
constexpr float free_db = 1, slope = 4, least_db = -20;

}  // namespace

Fading::Fading(double bin_hz, std::size_t bins, double highest_hz, double step_s)
    : bin_hz_(bin_hz),
      bins_(std::min(bins, static_cast<std::size_t>(highest_hz / bin_hz) + 3)),
      frames_(std::max<std::size_t>(1, static_cast<std::size_t>(std::lround(back_s / step_s)))),
      before_(frames_ * bins_) {}

void Fading::look_back(std::span<const float> power, std::span<const Partial> found,
                       std::span<float> then) {
  float* const oldest = before_.data() + at_ * bins_;
  for (std::size_t i = 0; i < found.size(); ++i) {
    const std::size_t k = std::clamp<std::size_t>(
        static_cast<std::size_t>(std::lround(static_cast<double>(found[i].hz) / bin_hz_)), 1,
        bins_ - 2);
    then[i] = std::max({oldest[k - 1], oldest[k], oldest[k + 1]});
  }
  std::copy_n(power.begin(), bins_, oldest);
  at_ = (at_ + 1) % frames_;
}

float Fading::played(float power, float then) {
  if (then <= power) return power;
  const float lost_db = decibels_per_power_neper * fast_log(then / power);
  const float gain_db = std::max(least_db, -slope * std::max(0.0F, lost_db - free_db));
  return power * std::exp(gain_db / decibels_per_power_neper);
}

}  // namespace endpin::listen
