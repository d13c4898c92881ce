#pragma once

#include <cstdint>

namespace endpin::simulator {

/// A stream of random numbers that is the same on every machine: splitmix64 (Steele, Lea & Flood
/// 2014) with distributions of our own, since those of the standard library are not fixed.
class Random {
 public:
  explicit Random(std::uint64_t seed) : state_(seed) {}

  std::uint64_t bits();
  /// 0 ≤ x < 1.
  double uniform();
  double uniform(double from, double to) { return from + (to - from) * uniform(); }
  /// from ≤ i ≤ to. REQUIRES: from ≤ to.
  int whole(int from, int to);
  bool chance(double probability) { return uniform() < probability; }
  /// Mean 0, deviation 1 (Box & Muller 1958).
  double normal();
  /// Normal of deviation `sigma`, kept within ± `limit`.
  double within(double sigma, double limit);
  /// A stream of its own, so that what one part draws does not shift the others'.
  Random fork();

 private:
  std::uint64_t state_;
};

}  // namespace endpin::simulator
