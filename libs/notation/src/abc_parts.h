#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "endpin/score/score.h"

#include "messages.h"

namespace endpin::notation {

/// A P: in the body of a tune: the part's name and the bar that it begins with.
struct PartLabel {
  std::string name;
  std::size_t bar = 0;
};

/// "A2(BC)2" as "AABCBC"; bounded. (ABC 2.1, section 3.1.9)
std::string expanded_order(std::string_view order);

/// Writes the bars out in the order that the header's P: asks for, where it differs from the order
/// in which they stand.
void write_out_parts(Score& score, std::string_view order, const std::vector<PartLabel>& labels,
                     Messages& messages);

/// Bars counted from 1; a pickup is 0, and the second half of a split bar is not counted.
void number_abc_bars(Score& score);

}  // namespace endpin::notation
