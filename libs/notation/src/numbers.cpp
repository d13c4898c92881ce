#include "numbers.h"

#include <charconv>

namespace endpin::notation {

std::string_view trimmed(std::string_view text) {
  constexpr std::string_view space = " \t\r\n\f\v";
  const std::size_t first = text.find_first_not_of(space);
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(space) - first + 1);
}

std::optional<std::int64_t> whole_number(std::string_view text) {
  text = trimmed(text);
  if (text.starts_with('+')) text.remove_prefix(1);
  std::int64_t number = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (text.empty() || error != std::errc{} || end != text.data() + text.size()) return std::nullopt;
  return number;
}

std::optional<Decimal> decimal_number(std::string_view text) {
  text = trimmed(text);
  const bool negative = text.starts_with('-');
  if (negative || text.starts_with('+')) text.remove_prefix(1);
  Decimal number;
  int digits = 0;
  int places = -1;  // after the point, once it has been seen
  for (const char c : text) {
    if (c == '.' && places < 0) {
      places = 0;
      continue;
    }
    if (c < '0' || c > '9') return std::nullopt;
    ++digits;
    if (places >= 6) continue;
    if (number.numerator >= 1'000'000'000'000) return std::nullopt;
    number.numerator = number.numerator * 10 + (c - '0');
    if (places >= 0) {
      ++places;
      number.denominator *= 10;
    }
  }
  if (digits == 0) return std::nullopt;
  if (negative) number.numerator = -number.numerator;
  return number;
}

}  // namespace endpin::notation
