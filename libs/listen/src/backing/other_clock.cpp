#include "backing/other_clock.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace endpin::listen {

OtherClock::OtherClock(const DecimatedSound& sound, double start_s, double step)
    : sound_(sound),
      start_(start_s * sound.rate_hz()),
      step_(step),
      table_(static_cast<std::size_t>((phases + 1) * taps)) {
  const double cutoff = std::min(1.0, 0.92 / step);  // of the sound's own half rate
  for (int phase = 0; phase <= phases; ++phase) {
    for (int tap = 0; tap < taps; ++tap) {
      // From the place that is read: it lies between taps 11 and 12.
      const double x = tap - (taps / 2 - 1) - static_cast<double>(phase) / phases;
      const double angle = std::numbers::pi * cutoff * x;
      const double sinc = std::abs(angle) < 1e-9 ? 1 : std::sin(angle) / angle;
      const double edge = std::numbers::pi * std::clamp(x / (taps / 2), -1.0, 1.0);
      const double window = 0.42 + 0.5 * std::cos(edge) + 0.08 * std::cos(2 * edge);  // Blackman
      table_[static_cast<std::size_t>(phase * taps + tap)] =
          static_cast<float>(cutoff * sinc * window);
    }
  }
}

void OtherClock::read(std::int64_t from, std::span<float> out) {
  if (out.empty()) return;
  const double begin = start_ + static_cast<double>(from) * step_;
  const auto first = static_cast<std::int64_t>(std::floor(begin)) - (taps / 2 - 1);
  source_.resize(static_cast<std::size_t>(static_cast<double>(out.size()) * step_) + taps + 2);
  sound_.read(first, source_);
  for (std::size_t i = 0; i < out.size(); ++i) {
    const double at = begin + static_cast<double>(i) * step_;
    const double whole = std::floor(at);
    const double phase = (at - whole) * phases;
    const auto row = static_cast<std::size_t>(phase);
    const auto share = static_cast<float>(phase - static_cast<double>(row));
    const float* a = table_.data() + row * taps;
    const float* x = source_.data() + (static_cast<std::int64_t>(whole) - (taps / 2 - 1) - first);
    float low = 0, high = 0;
    for (int k = 0; k < taps; ++k) low += a[k] * x[k], high += a[k + taps] * x[k];
    out[i] = low + share * (high - low);
  }
}

}  // namespace endpin::listen
