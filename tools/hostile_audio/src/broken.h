#pragma once

#include <cstdint>
#include <string>

namespace endpin::hostile {

/// The same numbers on every machine (splitmix64: Steele, Lea & Flood 2014).
class Chance {
 public:
  explicit Chance(std::uint64_t seed) : state_(seed) {}
  std::uint64_t next();
  /// 0 … below - 1.
  std::uint64_t below(std::uint64_t bound) { return next() % bound; }
  /// -1 … 1.
  double sample() { return static_cast<double>(next() >> 11) * 0x1p-52 - 1; }

 private:
  std::uint64_t state_;
};

/// Cut off at a byte somewhere in its middle half.
std::string truncated(std::string bytes, Chance& chance);
/// One bit in about `every` bytes turned over, the first 16 bytes spared: the kind stays known.
std::string flipped(std::string bytes, std::uint64_t every, Chance& chance);
/// Bytes of no meaning.
std::string noise_bytes(std::size_t count, Chance& chance);

}  // namespace endpin::hostile
