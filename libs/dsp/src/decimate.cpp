#include "endpin/dsp/decimate.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <numbers>

#include "four.h"

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

// Of two stretches at once, `apart` from each other: the taps are loaded once, and no sum has to
// wait for the one before.
std::array<float, 2> dots(std::span<const float> taps, const float* x, std::size_t apart) {
  const float* y = x + apart;
  std::array<Four, 4> sums{};
  const std::size_t whole = taps.size() / 8 * 8;
  for (std::size_t i = 0; i < whole; i += 8) {
    const Four low = load<Four>(taps.data() + i), high = load<Four>(taps.data() + i + 4);
    sums[0] += low * load<Four>(x + i), sums[1] += high * load<Four>(x + i + 4);
    sums[2] += low * load<Four>(y + i), sums[3] += high * load<Four>(y + i + 4);
  }
  std::array<float, 2> total{};
  for (std::size_t i = whole; i < taps.size(); ++i) {
    total[0] += taps[i] * x[i];
    total[1] += taps[i] * y[i];
  }
  for (std::size_t s = 0; s < sums.size(); ++s) {
    for (int k = 0; k < 4; ++k) total[s / 2] += sums[s][k];
  }
  return total;
}

float cleaned(float x) {
  const float held = x > 100.0F ? 100.0F : x < -100.0F ? -100.0F : x;
  return x - x == 0.0F ? held : 0.0F;  // what is not finite less itself is no number
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

void DecimatedSound::clean(std::int64_t from, std::span<float> out) const {
  const auto inside = [&](std::int64_t at) {
    return static_cast<std::size_t>(
        std::clamp<std::int64_t>(at - from, 0, static_cast<std::int64_t>(out.size())));
  };
  const std::size_t first = inside(0);
  const std::size_t last = std::max(first, inside(static_cast<std::int64_t>(samples_.size())));
  std::fill(out.begin(), out.begin() + static_cast<std::ptrdiff_t>(first), 0.0F);
  const auto begin = static_cast<std::size_t>(from + static_cast<std::int64_t>(first));
  for (std::size_t i = first; i < last; ++i) out[i] = cleaned(samples_[begin + (i - first)]);
  std::fill(out.begin() + static_cast<std::ptrdiff_t>(last), out.end(), 0.0F);
}

void DecimatedSound::read(std::int64_t from, std::span<float> out) const {
  if (factor_ == 1) {
    clean(from, out);
    return;
  }
  // In short blocks: what is read and cleaned once is filtered from a buffer on the stack, with a
  // sample more than is asked for where the count is odd.
  const std::size_t side = (taps_.size() - 1) / 2;
  std::array<float, 8192> input;
  const std::size_t block = (input.size() - taps_.size()) / factor_ / 2 * 2;
  for (std::size_t done = 0; done < out.size(); done += block) {
    const std::size_t count = std::min(block, out.size() - done);
    const std::size_t length = (count - 1 + count % 2) * factor_ + taps_.size();
    const std::int64_t start =
        (from + static_cast<std::int64_t>(done)) * static_cast<std::int64_t>(factor_) -
        static_cast<std::int64_t>(side);
    clean(start, std::span(input).first(length));
    for (std::size_t i = 0; i < count; i += 2) {
      const auto two = dots(taps_, input.data() + i * factor_, factor_);
      out[done + i] = two[0];
      if (i + 1 < count) out[done + i + 1] = two[1];
    }
  }
}

}  // namespace endpin
