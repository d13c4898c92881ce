#pragma once

#include <string_view>

#include "endpin/instrument/instrument.h"
#include "endpin/score/score.h"

namespace endpin {

/// The part for another instrument: in that one's clef and in the octave where most notes lie
/// within `step` and lowest under the hand; `fifths` moves the key along the line of fifths (-1:
/// from D to G major), 0 keeps it. Bows, slurs and ids stay; fingers and strings, which were
/// another instrument's, go. A tune that is wider than the instrument has its outermost notes an
/// octave further in. `from` is the instrument that `part` is written for. O(notes · octaves).
Part part_for(const Part& part, std::string_view from, const Instrument& to, std::string_view step,
              int fifths = 0);

}  // namespace endpin
