#include "retune.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>

namespace endpin {
namespace {

constexpr int taps = 16;
constexpr int phases = 512;
constexpr double kaiser_beta = 8.0;  // side lobes at -80 dB: Kaiser 1974

double bessel_i0(double x) {
  double sum = 1;
  double term = 1;
  for (int k = 1; k < 40; ++k) {
    term *= (x / (2 * k)) * (x / (2 * k));
    sum += term;
  }
  return sum;
}

using Kernel = std::array<float, taps>;

// One kernel for each fraction of a sample, and one more for interpolating between them.
std::vector<Kernel> make_kernels() {
  std::vector<Kernel> kernels(phases + 1);
  for (int phase = 0; phase <= phases; ++phase) {
    const double fraction = static_cast<double>(phase) / phases;
    for (int tap = 0; tap < taps; ++tap) {
      const double x = tap - (taps / 2 - 1) - fraction;
      const double at = x / (taps / 2.0);
      const double window = std::abs(at) < 1 ? bessel_i0(kaiser_beta * std::sqrt(1 - at * at)) /
                                                   bessel_i0(kaiser_beta)
                                             : 0;
      const double sinc = x == 0 ? 1 : std::sin(std::numbers::pi * x) / (std::numbers::pi * x);
      kernels[static_cast<std::size_t>(phase)][static_cast<std::size_t>(tap)] =
          static_cast<float>(sinc * window);
    }
  }
  return kernels;
}

float read_at(std::span<const float> samples, double position, const std::vector<Kernel>& kernels) {
  const auto whole = static_cast<std::ptrdiff_t>(position);
  const double phase = (position - static_cast<double>(whole)) * phases;
  const Kernel& kernel = kernels[static_cast<std::size_t>(phase + 0.5)];
  const std::ptrdiff_t from = whole - (taps / 2 - 1);
  float sum = 0;
  if (from >= 0 && from + taps <= static_cast<std::ptrdiff_t>(samples.size())) {
    const float* in = samples.data() + from;
    for (int tap = 0; tap < taps; ++tap) sum += in[tap] * kernel[static_cast<std::size_t>(tap)];
    return sum;
  }
  for (int tap = 0; tap < taps; ++tap) {
    const std::ptrdiff_t at = from + tap;
    if (at < 0 || at >= static_cast<std::ptrdiff_t>(samples.size())) continue;
    sum += samples[static_cast<std::size_t>(at)] * kernel[static_cast<std::size_t>(tap)];
  }
  return sum;
}

}  // namespace

std::vector<float> retune(std::span<const float> samples, const PitchTrack& track) {
  static const std::vector<Kernel> kernels = make_kernels();
  std::vector<float> out;
  out.reserve(samples.size());
  double position = 0;
  const auto end = static_cast<double>(samples.size());
  while (position < end) {
    const auto frame = static_cast<std::size_t>(position) / track.hop;
    const double cents = track.cents[std::min(frame, track.cents.size() - 1)];
    const double speed = std::exp2(-cents / 1200);
    // Until the track's next value the speed is constant.
    const double until = std::min(end, static_cast<double>((frame + 1) * track.hop));
    for (; position < until; position += speed) out.push_back(read_at(samples, position, kernels));
  }
  return out;
}

}  // namespace endpin
