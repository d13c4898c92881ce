#pragma once

#include <string>

#include "endpin/base/result.h"

namespace endpin::cli {

/// What --bars names: printed numbers, both included; empty: from the beginning, to the end.
struct BarsOption {
  std::string first, last;
};

/// "5-8" or "5"; "" is everything. Errors (usage): anything else.
Result<BarsOption> parse_bars(const std::string& text);

}  // namespace endpin::cli
