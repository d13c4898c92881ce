#pragma once

#include <string_view>
#include <vector>

#include "endpin/score/score.h"

namespace endpin::notation {

/// The beams of each note of `bar`, from the longest: "begin", "continue", "end", "forward hook" or
/// "backward hook". Notes are joined within a beat of `time`; rests, long values and chords'
/// further notes have none.
std::vector<std::vector<std::string_view>> beams(const Bar& bar, const TimeSignature& time);

/// What a beam joins: a compound metre's three units, else a beat, at least a quarter.
Beats beam_group(const TimeSignature& time);

}  // namespace endpin::notation
