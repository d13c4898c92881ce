#pragma once

#include <cstdint>
#include <optional>

#include "endpin/base/beats.h"

namespace endpin::notation {

/// Keeps the places of one score on a common fraction of a quarter, so that exact sums stay in
/// range whatever a file claims. Music never comes near the limit: all tuplets up to 13 over
/// 1024ths have a common fraction below 10^8.
class Grid {
 public:
  static constexpr std::int64_t finest = 100'000'000;
  static constexpr std::int64_t longest = 4096;  ///< quarters; the longest bar or note taken

  /// `numerator / denominator` quarters, rounded to the grid where it would grow too fine (then
  /// `rounded()` becomes true). nullopt if it is longer than `longest`. REQUIRES: denominator > 0.
  std::optional<Beats> admit(std::int64_t numerator, std::int64_t denominator);
  bool rounded() const { return rounded_; }

 private:
  std::int64_t common_ = 1;
  bool rounded_ = false;
};

}  // namespace endpin::notation
