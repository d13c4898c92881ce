#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

namespace endpin::notation {

std::string_view trimmed(std::string_view text);

/// A whole number with an optional sign and space around it.
std::optional<std::int64_t> whole_number(std::string_view text);

/// `numerator / 10^n`.
struct Decimal {
  std::int64_t numerator = 0;
  std::int64_t denominator = 1;
  double to_double() const {
    return static_cast<double>(numerator) / static_cast<double>(denominator);
  }
};
/// A decimal number such as "-1.5", at most 12 digits before the point; digits after the sixth
/// place are dropped.
std::optional<Decimal> decimal_number(std::string_view text);

}  // namespace endpin::notation
