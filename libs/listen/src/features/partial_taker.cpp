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

std::uint16_t place_of(float hz) {
  const float midi = 69 + 12 * std::log2(hz / 440.0F);
  return static_cast<std::uint16_t>(std::clamp((midi - lowest_midi) * 640.0F, 0.0F, 65535.0F));
}

}  // namespace

PartialTaker::PartialTaker(double rate_hz, std::optional<double> slow_rate_hz)
    : spectrum_(window_s, rate_hz),
      finder_(spectrum_.bin_hz(), spectrum_.bins(), slow_rate_hz ? long_window_below_hz : lowest_hz,
              highest_hz) {
  found_.reserve(spectrum_.bins());
  if (slow_rate_hz) {
    long_spectrum_.emplace(long_window_s, *slow_rate_hz);
    long_finder_.emplace(long_spectrum_->bin_hz(), long_spectrum_->bins(), lowest_hz,
                         long_window_below_hz);
  }
}

float PartialTaker::keep_strongest(std::vector<SmallPartial>& into) {
  constexpr float silent = 1e-11F;  // −110 dBFS
  std::erase_if(
      found_, [](const Partial& p) { return p.prominence < least_clarity_db || p.power < silent; });
  if (found_.size() > most_partials) {
    std::nth_element(found_.begin(), found_.begin() + most_partials, found_.end(),
                     [](const Partial& a, const Partial& b) { return a.power > b.power; });
    found_.resize(most_partials);
  }
  float strongest = 0;
  for (const Partial& p : found_) strongest = std::max(strongest, p.power);
  for (const Partial& p : found_) {
    const float weight = 255.0F * sixth_root(p.power / strongest);
    into.push_back({place_of(p.hz), static_cast<std::uint8_t>(std::min(255.0F, weight)),
                    static_cast<std::uint8_t>(std::min(60.0F, p.prominence))});
  }
  return sixth_root(strongest);
}

}  // namespace endpin::listen
