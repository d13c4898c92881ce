#include "endpin/dsp/spectrum.h"

#include <algorithm>
#include <bit>
#include <cassert>
#include <cmath>
#include <numbers>

namespace endpin {
namespace {

constexpr double surroundings_hz = 150;  // ours: two to three partials of a low note
constexpr float tiny_power = 1e-16F;

std::size_t padded_size(std::size_t window) { return std::bit_ceil(2 * window); }

}  // namespace

float sixth_root(float x) { return x <= 0 ? 0.0F : std::exp(fast_log(x) / 6.0F); }

Spectrum::Spectrum(double window_s, double rate_hz)
    : window_(std::max<std::size_t>(8, static_cast<std::size_t>(std::lround(window_s * rate_hz)))),
      fft_(padded_size(window_.size())),
      bin_hz_(rate_hz / static_cast<double>(fft_.size())),
      padded_(fft_.size()),
      power_(fft_.bins()) {
  const double n = static_cast<double>(window_.size());
  for (std::size_t i = 0; i < window_.size(); ++i) {
    const double phase = 2 * std::numbers::pi * (static_cast<double>(i) + 0.5) / n;
    window_[i] = static_cast<float>((1 - std::cos(phase)) * 2 / n);
  }
}

std::span<const float> Spectrum::power(std::span<const float> samples) {
  assert(samples.size() == window_.size());
  for (std::size_t i = 0; i < window_.size(); ++i) padded_[i] = samples[i] * window_[i];
  fft_.power(padded_, power_);
  return power_;
}

PartialFinder::PartialFinder(double bin_hz, std::size_t bins, double from_hz, double to_hz)
    : bin_hz_(bin_hz),
      first_(std::max<std::size_t>(1, static_cast<std::size_t>(from_hz / bin_hz))),
      last_(std::min(bins - 2, static_cast<std::size_t>(to_hz / bin_hz))),
      around_(std::max<std::size_t>(4, static_cast<std::size_t>(surroundings_hz / bin_hz))),
      logs_(bins),
      sums_(bins + 1),
      tops_(bins) {
  assert(from_hz > 0 && from_hz < to_hz);
}

// By fours, so that each sum need not wait for the one before.
void PartialFinder::add_up(std::size_t low, std::size_t high) {
  double sum = 0;
  std::size_t k = low;
  for (; k + 4 <= high + 1; k += 4) {
    const double a = static_cast<double>(logs_[k]), b = static_cast<double>(logs_[k + 1]);
    const double c = static_cast<double>(logs_[k + 2]), d = static_cast<double>(logs_[k + 3]);
    sums_[k] = sum;
    sums_[k + 1] = sum + a;
    sums_[k + 2] = sum + (a + b);
    sums_[k + 3] = sum + (a + b + c);
    sum += (a + b) + (c + d);
  }
  for (; k <= high; ++k) sums_[k] = sum, sum += static_cast<double>(logs_[k]);
  sums_[k] = sum;
}

// Every third or fourth bin of noise is one, which no processor foresees: without a branch.
std::size_t PartialFinder::find_tops(std::size_t from) {
  std::size_t count = 0;
  for (std::size_t k = from; k <= last_; ++k) {
    tops_[count] = static_cast<std::uint32_t>(k);
    const int rises = logs_[k] > logs_[k - 1], falls = logs_[k] >= logs_[k + 1];
    count += static_cast<std::size_t>(rises & falls);
  }
  return count;
}

void PartialFinder::find(std::span<const float> power, std::vector<Partial>& out) {
  const std::size_t low = first_ > around_ ? first_ - around_ : 0;
  const std::size_t high = std::min(power.size() - 1, last_ + around_);
  for (std::size_t k = low; k <= high; ++k) logs_[k] = fast_log(power[k] + tiny_power);
  add_up(low, high);
  const std::size_t count = find_tops(std::max(first_, low + 1));
  for (std::size_t i = 0; i < count; ++i) {
    const std::size_t k = tops_[i];
    const float left = logs_[k - 1], middle = logs_[k], right = logs_[k + 1];
    const float curve = left - 2 * middle + right;
    const float shift = curve < 0 ? 0.5F * (left - right) / curve : 0.0F;
    const float top = middle - 0.25F * (left - right) * shift;
    const std::size_t a = k > low + around_ ? k - around_ : low, b = std::min(high, k + around_);
    const double mean = (sums_[b + 1] - sums_[a]) / static_cast<double>(b + 1 - a);
    out.push_back(
        {static_cast<float>((static_cast<double>(k) + static_cast<double>(shift)) * bin_hz_),
         std::exp(top), (top - static_cast<float>(mean)) * decibels_per_power_neper});
  }
}

}  // namespace endpin
