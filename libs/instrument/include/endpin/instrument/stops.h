#pragma once

#include <optional>
#include <vector>

#include "endpin/instrument/instrument.h"

namespace endpin {

/// One way to play a pitch: a finger on a string, and the hand that it belongs to.
struct Stop {
  int string = 1;
  int finger = 0;      ///< 0 open, 1 index … 4 little, 5 thumb
  int above_open = 0;  ///< semitones
  /// The place of the hand, 0 for an open string (which any hand can play). Letters above the open
  /// string where the hand is counted in letters (first position is 1), else semitones of the first
  /// finger (first position is 2).
  int hand = 0;
  Extension extension = Extension::none;
  bool thumb = false;         ///< the thumb is on the string
  bool other_letter = false;  ///< fingered as its enharmonic neighbour
  int frame = 0;              ///< index into Instrument::frames, where the hand has frames

  bool operator==(const Stop&) const = default;
};

/// Every way to play `pitch` (sounding) within `reach`, by string and then by hand; empty if there
/// is none. A stop with an extension is only listed where the closed hand would not do.
std::vector<Stop> stops(const Instrument& instrument, SpelledPitch pitch, const Reach& reach);

/// Semitones above the open string at which the first finger of a hand stands; for a hand that is
/// counted in letters the middle of its two places.
double hand_place(const Instrument& instrument, int hand);
/// The named position of a stop's hand. For an open string, that of `hand`.
const Position& position_of(const Instrument& instrument, int hand);

/// How a finger lies in its hand, as the trade calls it: a "high 2" on the violin.
enum class FingerShape { plain, low, high, extended_back, extended };
FingerShape finger_shape(const Instrument& instrument, const Stop& stop);

/// The stop that a player learns first for `pitch`: an open string, else the lowest hand without an
/// extension. Nothing if the pitch is out of the instrument's range.
std::optional<Stop> first_learnt_stop(const Instrument& instrument, SpelledPitch pitch);
/// The same with the string and the finger settled: a low first finger belongs to first position.
/// Nothing if no hand plays it so.
std::optional<Stop> stop_with(const Instrument& instrument, SpelledPitch pitch, int string,
                              int finger);

}  // namespace endpin
