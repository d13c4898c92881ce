#include "endpin/simulator/random.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace endpin::simulator {

std::uint64_t Random::bits() {
  std::uint64_t z = (state_ += 0x9E3779B97F4A7C15ULL);
  z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
  z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
  return z ^ (z >> 31);
}

double Random::uniform() { return static_cast<double>(bits() >> 11) * 0x1p-53; }

int Random::whole(int from, int to) {
  return from + static_cast<int>(uniform() * static_cast<double>(to - from + 1));
}

double Random::normal() {
  const double radius = std::sqrt(-2 * std::log(1 - uniform()));
  return radius * std::cos(2 * std::numbers::pi * uniform());
}

double Random::within(double sigma, double limit) {
  return std::clamp(sigma * normal(), -limit, limit);
}

Random Random::fork() { return Random(bits()); }

}  // namespace endpin::simulator
