#pragma once

#include <string_view>

#include "endpin/base/pitch.h"
#include "endpin/base/result.h"
#include "endpin/score/score.h"

/// The same music elsewhere, spelled as its new key is written.
namespace endpin {

/// An interval with its spelling: steps along the line of fifths, and semitones. A major second up
/// is {2, 2}, a minor third down {3, -3}, an octave up {0, 12}.
struct Interval {
  int fifths = 0;
  int semitones = 0;
  bool operator==(const Interval&) const = default;
};

/// "M2", "m3", "P5", "A4", "d5", with "-" before it for downwards; or a number of semitones, "2",
/// "-3", which is spelled so that a key of `fifths` gets the fewest sharps or flats. Errors: no
/// such interval; more than two octaves.
Result<Interval> parse_interval(std::string_view text, int fifths);

/// The nearest way from a key of `fifths` to the key of the same mode on `tonic` ("G", "Bb", "F#"):
/// at most six semitones up or five down. Errors: not a tonic, or a key of more than seven sharps
/// or flats.
Result<Interval> interval_to_key(std::string_view tonic, int fifths, bool minor);

/// `pitch` so many steps of the line of fifths further (2 up is C to D) in the octave nearest to
/// `semitones` higher; at most double sharps and flats.
SpelledPitch transposed(SpelledPitch pitch, int fifths, int semitones);

/// All parts moved by `interval`. A key that would need more than seven sharps or flats is written
/// as its enharmonic neighbour, its notes too. Bows, slurs and ids stay; fingers and strings, which
/// belonged to other pitches, go. O(notes).
Score transposed(const Score& score, const Interval& interval);

}  // namespace endpin
