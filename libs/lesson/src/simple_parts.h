#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "endpin/instrument/instrument.h"
#include "endpin/lesson/class_set.h"
#include "endpin/lesson/line.h"
#include "endpin/lesson/material.h"

#include "harmony.h"

/// Lines for those who have only begun. Bars of sounding pitches in, bars of sounding pitches out.
namespace endpin {

/// A tune as these lines need it: its bars as lines, what sounds with them, where one may play.
struct Accompanied {
  std::vector<Phrase> bars;  ///< sounding pitches
  std::vector<Triad> harmony;
  std::vector<Beats> beats;  ///< what a beat of each bar is
  ScaleKey key;
  const Instrument* instrument = nullptr;
  const Reach* reach = nullptr;

  bool playable(SpelledPitch pitch) const;
  /// `pitch`'s class wherever the hand has it, ascending.
  std::vector<SpelledPitch> places(SpelledPitch pitch) const;
};

/// Empty where nothing of the kind can be made.
std::vector<Phrase> long_notes(const Accompanied& tune);
std::vector<Phrase> rhythm_on_one_note(const Accompanied& tune);
std::vector<Phrase> beat_on_open_strings(const Accompanied& tune);

/// A second voice a beat at a time: thirds and sixths below the tune, notes of the harmony first,
/// small steps, no fifths or octaves in parallel, within the hand. Least cost over the whole tune;
/// O(beats · pitches²).
std::vector<Phrase> second_voice(const Accompanied& tune);

}  // namespace endpin
