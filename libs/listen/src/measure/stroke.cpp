#include "measure/stroke.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <vector>

namespace endpin::listen {
namespace {

// A knock or a click is over after that; what is louder for longer is the tone (ours).
constexpr double knock_s = 0.03;

// Between two times, the highest first.
std::vector<float> levels_falling(const SoundFeatures& sound, double from_s, double to_s) {
  const auto& frames = sound.onset;
  const auto at = [&](double s) {
    return std::clamp<std::ptrdiff_t>(std::lround(s / sound.step_s), 0,
                                      static_cast<std::ptrdiff_t>(frames.size()) - 1);
  };
  std::vector<float> levels;
  for (std::ptrdiff_t f = at(from_s); f <= at(to_s); ++f) {
    levels.push_back(frames[static_cast<std::size_t>(f)].level_db);
  }
  std::sort(levels.begin(), levels.end(), std::greater<>());
  return levels;
}

// What the tone reaches, a knock aside.
double level_held(const SoundFeatures& sound, double from_s, double to_s) {
  const auto levels = levels_falling(sound, from_s, to_s);
  const auto passed_over = static_cast<std::size_t>(std::lround(knock_s / sound.step_s));
  return static_cast<double>(levels[std::min(levels.size() - 1, passed_over)]);
}

}  // namespace

double level_dip(const SoundFeatures& sound, double at_s) {
  if (sound.onset.empty()) return 0;
  const double before = level_held(sound, at_s - 0.5, at_s - 0.03);
  const double after = level_held(sound, at_s, at_s + 0.15);
  const auto least = static_cast<double>(levels_falling(sound, at_s - 0.07, at_s + 0.02).back());
  return std::max(0.0, std::min(before, after) - least);
}

}  // namespace endpin::listen
