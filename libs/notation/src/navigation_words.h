#pragma once

#include <string_view>

#include "endpin/score/score.h"

namespace endpin::notation {

/// Sets in `navigation` what printed words such as "D.C. al Fine" or "To Coda" say. Words that are
/// not only such a direction say nothing.
void apply_navigation_words(std::string_view text, Navigation& navigation);

enum class PluckWord { none, pizzicato, arco };
PluckWord pluck_word(std::string_view text);

}  // namespace endpin::notation
