#include "features/partial_taker.h"

#include <algorithm>
#include <cmath>

namespace endpin::listen {
namespace {

// Hann windows: 80 ms parts the partials of C2 (65 Hz) from each other; the long one those of E1.
constexpr double window_s = 0.08, long_window_s = 0.16;
constexpr double lowest_hz = 38, highest_hz = 6000, long_window_below_hz = 350;
constexpr float least_clarity_db = 7;  // ours: three in four maxima of white noise lie below
constexpr std::size_t most_partials = 40;
constexpr float lowest_midi = 20;

bool is_kept(const Partial& p) {
  constexpr float silent = 1e-11F;  // −110 dBFS
  return p.prominence >= least_clarity_db && p.power >= silent;
}

std::uint16_t place_of(float hz) {
  const float midi = 69 + 12 * std::log2(hz / 440.0F);
  return static_cast<std::uint16_t>(std::clamp((midi - lowest_midi) * 640.0F, 0.0F, 65535.0F));
}

}  // namespace

PartialTaker::PartialTaker(double rate_hz, std::optional<double> slow_rate_hz,
                           std::optional<double> step_s)
    : short_(window(window_s, rate_hz, slow_rate_hz ? long_window_below_hz : lowest_hz, highest_hz,
                    step_s)) {
  found_.reserve(short_.spectrum.bins());
  partials_.reserve(short_.spectrum.bins());
  then_.reserve(short_.spectrum.bins());
  if (slow_rate_hz) {
    long_ = window(long_window_s, *slow_rate_hz, lowest_hz, long_window_below_hz, step_s);
  }
}

PartialTaker::Window PartialTaker::window(double window_s, double rate_hz, double from_hz,
                                          double to_hz, std::optional<double> step_s) {
  Spectrum spectrum(window_s, rate_hz);
  const double bin_hz = spectrum.bin_hz();
  const std::size_t bins = spectrum.bins();
  Window made{std::move(spectrum), PartialFinder(bin_hz, bins, from_hz, to_hz), std::nullopt};
  if (step_s) made.fading.emplace(bin_hz, bins, to_hz, *step_s);
  return made;
}

void PartialTaker::look(Window& window, std::span<const float> samples) {
  const std::span<const float> power = window.spectrum.power(samples);
  partials_.clear();
  window.finder.find(power, partials_);
  then_.assign(partials_.size(), 0);
  if (window.fading) window.fading->look_back(power, partials_, then_);
  for (std::size_t i = 0; i < partials_.size(); ++i) {
    const Partial& p = partials_[i];
    if (is_kept(p)) found_.push_back({p, Fading::played(p.power, then_[i])});
  }
}

Strongest PartialTaker::keep_strongest(std::vector<SmallPartial>& into) {
  if (found_.size() > most_partials) {
    std::nth_element(found_.begin(), found_.begin() + most_partials, found_.end(),
                     [](const Found& a, const Found& b) { return a.power > b.power; });
    found_.resize(most_partials);
  }
  float sounding = 0, played = 0;
  for (const Found& p : found_) {
    sounding = std::max(sounding, p.power);
    played = std::max(played, p.played);
  }
  const auto weight = [](float power, float strongest) {
    return static_cast<std::uint8_t>(std::min(255.0F, 255.0F * sixth_root(power / strongest)));
  };
  for (const Found& p : found_) {
    into.push_back({place_of(p.hz), weight(p.power, sounding),
                    static_cast<std::uint8_t>(std::min(60.0F, p.prominence)),
                    weight(p.played, played)});
  }
  return {sixth_root(sounding), sixth_root(played)};
}

}  // namespace endpin::listen
