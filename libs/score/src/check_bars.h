#pragma once

#include <string>
#include <vector>

#include "endpin/score/score.h"

namespace endpin {

/// "412" where the line is known, or "bar 17".
std::string place_of(const Bar& bar, int line);
/// "bar 17", with the part's name where the score has several.
std::string bar_in_words(const Score& score, const Part& part, const Bar& bar);

void check_bar_lengths(const Score& score, std::vector<Warning>& warnings);

}  // namespace endpin
