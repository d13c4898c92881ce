#pragma once

#include <string>
#include <string_view>
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

/// The most bars that an unfolded part may have; a structure that asks for more is played once
/// through. We chose it: ten times the longest score that the speed is measured on.
inline constexpr int most_played_bars = 100'000;

/// Repeats, endings, D.C., D.S., Fine and Coda resolved. After a D.C. or D.S. repeats are not taken
/// again and the last endings are played, unless the repeat says otherwise. O(played bars).
PlayedOrder unfold(const Part& part);

/// What turns `part`'s written pitches into sounding ones on `instrument`: the part's own
/// transposition, or for a double bass whose file says none, an octave down, unless its clef or its
/// range shows that the pitches are sounding ones already.
Transposition sounding_transposition(const Part& part, std::string_view instrument);

/// The part in played order: ties joined, graces and cues left out, chords ascending. `instrument`
/// is "violin", "viola", "cello", "bass", or empty: then it is guessed. Errors: a part in which
/// nothing sounds.
Result<Timeline> timeline(const Score& score, int part, std::string_view instrument = {});

/// Which part to take: `wanted` is a number from 1 or a name (any case); empty chooses the first
/// bowed string part, or else the first that sounds. Errors: no such part, naming those there are.
Result<int> choose_part(const Score& score, std::string_view wanted = {});

/// "violin", "viola", "cello" or "bass" by name, sound, clef and range of the part; "" if unclear.
std::string guess_instrument(const Part& part);

}  // namespace endpin
