#include "endpin/dsp/decimate.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <numbers>

namespace endpin {
namespace {

constexpr double greatest_factor = 64;
// The pass band ends where nothing that we look at lies higher: 0.42 of the new rate.
constexpr double cutoff = 0.46;
constexpr int taps_per_factor = 24;  // each side: a transition of 0.1 of the new rate at 80 dB
constexpr double kaiser_beta = 7.86;

double bessel_i0(double x) {
  double sum = 1, term = 1;
  for (int k = 1; k < 40; ++k) {
    term *= (x / (2 * k)) * (x / (2 * k));
    sum += term;
  }
  return sum;
}

std::vector<float> low_pass(std::size_t factor) {
  const std::size_t side = static_cast<std::size_t>(taps_per_factor) * factor;
  std::vector<float> taps(2 * side + 1);
  double total = 0;
  for (std::size_t i = 0; i < taps.size(); ++i) {
    const double x = static_cast<double>(i) - static_cast<double>(side);
    const double edge = x / static_cast<double>(side);
    const double angle = 2 * std::numbers::pi * cutoff / static_cast<double>(factor) * x;
    const double sinc = i == side ? 1 : std::sin(angle) / angle;
    const double tap = sinc * bessel_i0(kaiser_beta * std::sqrt(std::max(0.0, 1 - edge * edge)));
    taps[i] = static_cast<float>(tap);
    total += tap;
  }
  for (float& tap : taps) tap = static_cast<float>(tap / total);
  return taps;
}

// Eight sums side by side, which the compiler turns into vectors without changing the result.
float dot(std::span<const float> a, std::span<const float> b) {
  std::array<float, 8> sums{};
  const std::size_t whole = a.size() / 8 * 8;
  for (std::size_t i = 0; i < whole; i += 8) {
    for (std::size_t k = 0; k < 8; ++k) sums[k] += a[i + k] * b[i + k];
  }
  float total = 0;
  for (std::size_t i = whole; i < a.size(); ++i) total += a[i] * b[i];
  for (const float s : sums) total += s;
  return total;
}

}  // namespace

DecimatedSound::DecimatedSound(std::span<const float> samples, double rate_hz,
                               double lowest_rate_hz)
    : samples_(samples),
      rate_hz_(rate_hz),
      factor_(static_cast<std::size_t>(
          std::clamp(std::floor(rate_hz / lowest_rate_hz), 1.0, greatest_factor))) {
  assert(rate_hz > 0);
  if (factor_ > 1) taps_ = low_pass(factor_);
}

float DecimatedSound::clean(std::int64_t index) const {
  if (index < 0 || index >= static_cast<std::int64_t>(samples_.size())) return 0;
  const float x = samples_[static_cast<std::size_t>(index)];
  return std::isfinite(x) ? std::clamp(x, -100.0F, 100.0F) : 0.0F;
}

void DecimatedSound::read(std::int64_t from, std::span<float> out) const {
  if (factor_ == 1) {
    for (std::size_t i = 0; i < out.size(); ++i)
      out[i] = clean(from + static_cast<std::int64_t>(i));
    return;
  }
  // In short blocks: what is read and cleaned once is filtered from a buffer on the stack.
  const std::size_t side = (taps_.size() - 1) / 2;
  std::array<float, 8192> input;
  const std::size_t block = std::max<std::size_t>(1, (input.size() - taps_.size()) / factor_);
  for (std::size_t done = 0; done < out.size(); done += block) {
    const std::size_t count = std::min(block, out.size() - done);
    const std::size_t length = (count - 1) * factor_ + taps_.size();
    const std::int64_t start =
        (from + static_cast<std::int64_t>(done)) * static_cast<std::int64_t>(factor_) -
        static_cast<std::int64_t>(side);
    for (std::size_t i = 0; i < length; ++i) {
      input[i] = clean(start + static_cast<std::int64_t>(i));
    }
    for (std::size_t i = 0; i < count; ++i) {
      out[done + i] = dot(taps_, std::span(input).subspan(i * factor_, taps_.size()));
    }
  }
}

}  // namespace endpin
