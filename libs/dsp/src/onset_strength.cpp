#include "endpin/dsp/onset_strength.h"

#include <algorithm>
#include <bit>
#include <cassert>
#include <cmath>
#include <numbers>

#include "endpin/dsp/spectrum.h"

namespace endpin {
namespace {

constexpr double lowest_hz = 90, highest_hz = 10'000, bright_hz = 3'000;
constexpr double band_ratio = 1.0594630943592953;  // a semitone, where bins allow
constexpr float quietest = 1e-9F;                  // −90 dBFS
constexpr float floor_below_loudest = 1e-6F;       // 60 dB below the loudest of late
constexpr float loudest_decay = 0.9995F;           // a frame of 5 ms: halves in 7 s
constexpr int frames_back = 2;                     // against which a rise is measured
constexpr double periods_in_window = 2.2;  // of so many pulses a Hann window sees less than 1 dB

}  // namespace

OnsetStrength::OnsetStrength(double rate_hz, double longest_period_s, double step_s)
    : window_(std::max<std::size_t>(8, static_cast<std::size_t>(std::lround(window_s * rate_hz)))),
      fft_(std::bit_ceil(window_.size())),
      padded_(fft_.size()),
      power_(fft_.bins()) {
  const double n = static_cast<double>(window_.size());
  for (std::size_t i = 0; i < window_.size(); ++i) {
    const double phase = 2 * std::numbers::pi * (static_cast<double>(i) + 0.5) / n;
    window_[i] = static_cast<float>((1 - std::cos(phase)) * 2 / n);
  }
  const double bin_hz = rate_hz / static_cast<double>(fft_.size());
  const double top = std::min(highest_hz, 0.42 * rate_hz);
  std::size_t from = std::max<std::size_t>(1, static_cast<std::size_t>(lowest_hz / bin_hz));
  first_bright_band_ = 0;
  for (double hz = lowest_hz; hz < top; hz *= band_ratio) {
    const auto to = static_cast<std::size_t>(std::lround(hz * band_ratio / bin_hz));
    if (to <= from) continue;
    if (static_cast<double>(from) * bin_hz < bright_hz) first_bright_band_ = bands_.size() + 1;
    bands_.push_back({from, std::min(to, power_.size() - 1), 1.0F});
    from = to;
  }
  now_.resize(bands_.size());
  reference_.resize(bands_.size());
  const bool pulse = pulses(longest_period_s);
  kept_ = frames_back - 1 + (pulse ? static_cast<int>(std::lround(longest_period_s / step_s)) : 1);
  past_.resize(static_cast<std::size_t>(kept_) * bands_.size());
  // The main lobe of a Hann window holds 1.5 times its peak's power, spread by the padding.
  level_scale_ = static_cast<float>(n / (1.5 * static_cast<double>(fft_.size())));
  reset();
}

bool OnsetStrength::pulses(double period_s) { return window_s < periods_in_window * period_s; }

void OnsetStrength::reset() {
  loudest_ = quietest;
  frames_ = 0;
}

void OnsetStrength::measure_bands() {
  for (std::size_t b = 0; b < bands_.size(); ++b) {
    float sum = 0;
    for (std::size_t k = bands_[b].from; k < bands_[b].to; ++k) sum += power_[k];
    now_[b] = sum;
  }
}

void OnsetStrength::find_reference() {
  for (std::size_t b = 0; b < bands_.size(); ++b) {
    float highest = -200;
    for (int back = frames_back; back <= kept_; ++back) {
      const auto frame = static_cast<std::size_t>((frames_ - back) % kept_);
      highest = std::max(highest, past_[frame * bands_.size() + b]);
    }
    reference_[b] = highest;
  }
}

OnsetFrame OnsetStrength::next(std::span<const float> samples) {
  assert(samples.size() == window_.size());
  for (std::size_t i = 0; i < window_.size(); ++i) padded_[i] = samples[i] * window_[i];
  fft_.power(padded_, power_);
  measure_bands();
  float total = 0, bright = 0;
  for (std::size_t b = 0; b < bands_.size(); ++b) {
    total += now_[b];
    if (b >= first_bright_band_) bright += now_[b];
  }
  loudest_ = std::max({loudest_ * loudest_decay, total, quietest});
  const float floor = std::max(loudest_ * floor_below_loudest, quietest * 0.01F);
  float flux = 0;
  for (std::size_t b = 0; b < bands_.size(); ++b)
    now_[b] = decibels_per_power_neper * fast_log(now_[b] + floor);
  if (frames_ >= kept_) {
    find_reference();
    for (std::size_t b = 0; b < bands_.size(); ++b) {
      float reference = reference_[b];
      if (b > 0) reference = std::max(reference, reference_[b - 1]);
      if (b + 1 < bands_.size()) reference = std::max(reference, reference_[b + 1]);
      flux += std::max(0.0F, now_[b] - reference);
    }
    flux /= static_cast<float>(std::max<std::size_t>(1, bands_.size()));
  }
  std::copy(now_.begin(), now_.end(),
            past_.begin() + static_cast<std::ptrdiff_t>(static_cast<std::size_t>(frames_ % kept_) *
                                                        bands_.size()));
  ++frames_;
  return {flux, decibels_per_power_neper * fast_log(total * level_scale_ + quietest),
          decibels_per_power_neper * fast_log(bright * level_scale_ + quietest)};
}

}  // namespace endpin
