#pragma once

#include <algorithm>
#include <cstddef>
#include <vector>

namespace endpin::listen {

/// The value that a share `q` (0…1) of the others does not exceed, one of them: no mean of two.
/// REQUIRES: !values.empty(). O(n).
template <typename Value>
Value quantile(std::vector<Value> values, double q) {
  const auto at =
      values.begin() + static_cast<std::ptrdiff_t>(q * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), at, values.end());
  return *at;
}

/// The middle value; of two in the middle the greater. REQUIRES: !values.empty(). O(n).
template <typename Value>
Value middle_of(std::vector<Value> values) {
  const auto at = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), at, values.end());
  return *at;
}

/// The standard deviation that normal errors would have, by the middle of their sizes, which a few
/// gross ones do not move (Hampel 1974). REQUIRES: !errors.empty(). O(n).
template <typename Value>
double robust_deviation(std::vector<Value> errors) {
  for (Value& e : errors) e = e < 0 ? -e : e;
  return 1.48 * static_cast<double>(middle_of(std::move(errors)));
}

}  // namespace endpin::listen
