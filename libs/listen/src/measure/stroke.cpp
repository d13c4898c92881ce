#include "measure/stroke.h"

#include <algorithm>
#include <cmath>

namespace endpin::listen {
namespace {

template <typename F>
double over(const SoundFeatures& sound, double from_s, double to_s, double start, F&& join) {
  const auto& frames = sound.onset;
  const auto at = [&](double s) {
    return std::clamp<std::ptrdiff_t>(std::lround(s / sound.step_s), 0,
                                      static_cast<std::ptrdiff_t>(frames.size()) - 1);
  };
  double value = start;
  for (std::ptrdiff_t f = at(from_s); f <= at(to_s); ++f) {
    value = join(value, static_cast<double>(frames[static_cast<std::size_t>(f)].level_db));
  }
  return value;
}

}  // namespace

double level_dip(const SoundFeatures& sound, double at_s) {
  if (sound.onset.empty()) return 0;
  const auto highest = [](double a, double b) { return std::max(a, b); };
  const auto lowest = [](double a, double b) { return std::min(a, b); };
  const double before = over(sound, at_s - 0.5, at_s - 0.03, -200, highest);
  const double after = over(sound, at_s, at_s + 0.12, -200, highest);
  const double least = over(sound, at_s - 0.07, at_s + 0.02, 200, lowest);
  return std::max(0.0, std::min(before, after) - least);
}

double strongest_onset(std::span<const float> evidence, double step_s, double from_s, double to_s) {
  const auto n = static_cast<std::ptrdiff_t>(evidence.size());
  double best = -2;
  for (std::ptrdiff_t f = std::max<std::ptrdiff_t>(0, std::lround(from_s / step_s));
       f < n && static_cast<double>(f) * step_s <= to_s; ++f) {
    best = std::max(best, static_cast<double>(evidence[static_cast<std::size_t>(f)]));
  }
  return best;
}

}  // namespace endpin::listen
