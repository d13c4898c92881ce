#pragma once

#include <string>
#include <vector>

#include "endpin/base/result.h"
#include "endpin/score/score.h"
#include "endpin/timeline/timeline.h"

namespace endpin {

/// One bar of the played order.
struct PlayedBar {
  int bar = 0;   ///< index into Part::bars
  int pass = 1;  ///< n-th time through that bar
  bool operator==(const PlayedBar&) const = default;
};

/// The one played order that everything uses.
struct PlayedOrder {
  std::vector<PlayedBar> bars;
  std::vector<Warning> warnings;  ///< a structure that could not be resolved is played once through
};

/// Repeats, endings, D.C., D.S., Fine and Coda resolved. O(played bars), which is bounded.
PlayedOrder unfold(const Part& part);

/// The part in played order: ties joined, graces and cues left out, chords ascending. `instrument`
/// is "violin", "viola", "cello", "bass" or empty. Errors: a part in which nothing sounds.
Result<Timeline> timeline(const Score& score, int part, std::string_view instrument = {});

/// Which part to take: `wanted` is a number from 1 or a name (any case); empty chooses the first
/// bowed string part, or else the first that sounds. Errors: no such part, naming those there are.
Result<int> choose_part(const Score& score, std::string_view wanted = {});

/// "violin", "viola", "cello" or "bass" by name, sound, clef and range of the part; "" if unclear.
std::string guess_instrument(const Part& part);

}  // namespace endpin
