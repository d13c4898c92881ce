#include "loop.h"

#include <cassert>
#include <cmath>

namespace endpin {
namespace {

// Product of what comes before `a` with what comes before `b`, over what `b` holds.
double likeness(const std::vector<float>& samples, std::size_t a, std::size_t b,
                std::size_t count) {
  double product = 0;
  double energy = 1e-9;
  for (std::size_t i = 1; i <= count; ++i) {
    product += static_cast<double>(samples[a - i]) * samples[b - i];
    energy += static_cast<double>(samples[b - i]) * samples[b - i];
  }
  return product / std::sqrt(energy);
}

}  // namespace

Loop make_loop(std::vector<float>& samples, std::size_t start, std::size_t length, double period,
               std::size_t fade) {
  assert(fade <= start);
  const auto reach = static_cast<std::size_t>(std::ceil(period / 2));
  assert(start + length + reach < samples.size());
  Loop loop{start, start + length};
  double best = -1e9;
  for (std::size_t end = start + length - reach; end <= start + length + reach; ++end) {
    const double alike = likeness(samples, start, end, fade);
    if (alike <= best) continue;
    best = alike;
    loop.end = end;
  }
  for (std::size_t i = 0; i < fade; ++i) {
    const auto over = static_cast<float>(i + 1) / static_cast<float>(fade);
    float& sample = samples[loop.end - fade + i];
    sample = (1 - over) * sample + over * samples[start - fade + i];
  }
  return loop;
}

}  // namespace endpin
