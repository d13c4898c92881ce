#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>

#include "endpin/score/score.h"

namespace endpin::notation {

/// What a decoration says, beside what it writes into the note to come.
struct AbcDecoration {
  bool known = false;
  std::optional<Direction> direction;  ///< dynamics, wedges, jumps in words
};

/// Applies the decoration `name` (without its marks) to `note` and to the bar's `navigation`.
/// (ABC 2.1, section 4.14)
AbcDecoration apply_decoration(std::string_view name, Note& note, Navigation& navigation);

/// The decoration that a single letter or sign stands for unless U: says otherwise, or "".
/// (ABC 2.1, sections 4.14 and 4.16)
std::string_view default_symbol(char letter);

}  // namespace endpin::notation
