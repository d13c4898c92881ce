#pragma once

#include <string_view>

#include "endpin/base/pitch.h"
#include "endpin/instrument/instrument.h"
#include "endpin/score/score.h"

namespace endpin {

/// `pitch` so many steps of the line of fifths further (2 up is C to D) in the octave nearest to
/// `semitones` higher.
SpelledPitch transposed(SpelledPitch pitch, int fifths, int semitones);

/// The part for another instrument: in that one's clef and in the octave where most notes lie
/// within `step` and lowest under the hand; `fifths` moves the key along the line of fifths (-1:
/// from D to G major), 0 keeps it. Bows, slurs and ids stay; fingers and strings, which were
/// another instrument's, go. `from` is the instrument that `part` is written for. O(notes ·
/// octaves).
Part part_for(const Part& part, std::string_view from, const Instrument& to, std::string_view step,
              int fifths = 0);

}  // namespace endpin
