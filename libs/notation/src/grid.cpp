#include "grid.h"

#include <cmath>
#include <numeric>

namespace endpin::notation {
namespace {

constexpr std::int64_t coarsest = 960;  // parts of a quarter to round to: MIDI's usual fine grid

}  // namespace

std::optional<Beats> Grid::admit(std::int64_t numerator, std::int64_t denominator) {
  const double size = std::abs(static_cast<double>(numerator) / static_cast<double>(denominator));
  if (size > static_cast<double>(longest)) return std::nullopt;
  const std::int64_t divisor = std::gcd(numerator, denominator);
  numerator /= divisor;
  denominator /= divisor;
  if (common_ % denominator == 0) return Beats(numerator, denominator);
  const std::int64_t factor = denominator / std::gcd(common_, denominator);
  if (factor <= finest / common_) {
    common_ *= factor;
    return Beats(numerator, denominator);
  }
  rounded_ = true;
  if (common_ < coarsest) common_ *= coarsest;
  const double rounded =
      std::round(static_cast<double>(numerator) / static_cast<double>(denominator) *
                 static_cast<double>(common_));
  return Beats(static_cast<std::int64_t>(rounded), common_);
}

}  // namespace endpin::notation
