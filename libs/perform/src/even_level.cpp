#include "even_level.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "endpin/perform/sounds.h"

namespace endpin {
namespace {

constexpr std::size_t hop = 120;

}  // namespace

std::vector<double> level_track(std::span<const float> samples, std::size_t step,
                                std::size_t width) {
  std::vector<double> energy(samples.size() + 1);
  for (std::size_t i = 0; i < samples.size(); ++i) {
    energy[i + 1] = energy[i] + static_cast<double>(samples[i]) * samples[i];
  }
  std::vector<double> levels;
  for (std::size_t centre = 0; centre <= samples.size(); centre += step) {
    const std::size_t half = std::min(width / 2, centre + step);
    const std::size_t from = centre - std::min(centre, half);
    const std::size_t to = std::min(samples.size(), centre + half);
    const auto count = static_cast<double>(std::max<std::size_t>(to - from, 1));
    levels.push_back(std::sqrt(std::max(0.0, energy[to] - energy[from]) / count));
  }
  return levels;
}

void remove_rumble(std::span<float> samples, double pitch_hz) {
  const double k = std::tan(std::numbers::pi * pitch_hz / 2 / performance_rate);
  const double norm = 1 / (1 + std::numbers::sqrt2 * k + k * k);
  const double a1 = 2 * (k * k - 1) * norm;
  const double a2 = (1 - std::numbers::sqrt2 * k + k * k) * norm;
  double z1 = 0;
  double z2 = 0;
  for (float& sample : samples) {
    const double x = sample;
    const double y = norm * x + z1;
    z1 = -2 * norm * x - a1 * y + z2;
    z2 = norm * x - a2 * y;
    sample = static_cast<float>(y);
  }
}

void even_out(std::span<float> samples, double target, std::size_t width, double most) {
  const std::vector<double> levels = level_track(samples, hop, width);
  const auto gain = [&](std::size_t frame) {
    return std::min(most, target / std::max(levels[std::min(frame, levels.size() - 1)], 1e-6));
  };
  for (std::size_t i = 0; i < samples.size(); ++i) {
    const std::size_t frame = i / hop;
    const double along = static_cast<double>(i % hop) / hop;
    const double now = gain(frame) * (1 - along) + gain(frame + 1) * along;
    samples[i] = static_cast<float>(samples[i] * now);
  }
}

}  // namespace endpin
