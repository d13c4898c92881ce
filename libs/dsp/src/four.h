#pragma once

#include <cstring>

namespace endpin {

/// Four values side by side, on every machine: compilers do not always see that a loop may be
/// turned into vectors. Each is reckoned as a single one would be, so results do not differ.
using Four [[gnu::vector_size(16)]] = float;

template <typename Values>
Values load(const float* from) {
  Values values;
  std::memcpy(&values, from, sizeof values);
  return values;
}
template <typename Values>
void store(float* to, const Values& values) {
  std::memcpy(to, &values, sizeof values);
}

}  // namespace endpin
