#pragma once

#include <cstdint>
#include <limits>
#include <optional>

namespace endpin {

/// A value of JSON as an int; nothing where it is no whole number or one that an int cannot hold,
/// which nlohmann::json would convert all the same (of a double: undefined behaviour).
/// `Json`: nlohmann::json or ordered_json; this library itself knows neither.
template <typename Json>
std::optional<int> whole_number(const Json& value) {
  using Limits = std::numeric_limits<int>;
  if (!value.is_number_integer()) return std::nullopt;
  const auto too_large = [](std::uint64_t n) { return n > std::uint64_t{Limits::max()}; };
  if (value.is_number_unsigned()) {
    const auto n = value.template get<std::uint64_t>();
    return too_large(n) ? std::nullopt : std::optional(static_cast<int>(n));
  }
  const auto n = value.template get<std::int64_t>();
  const bool fits = n >= Limits::min() && n <= Limits::max();
  return fits ? std::optional(static_cast<int>(n)) : std::nullopt;
}

}  // namespace endpin
