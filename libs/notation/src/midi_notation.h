#pragma once

#include <vector>

#include "endpin/score/score.h"

#include "midi_quantise.h"

namespace endpin::notation {

/// A bar line's place and the metre that begins there.
struct BarFrame {
  Beats start;
  Beats length;
  TimeSignature time;
  bool new_metre = false;
};

/// Bars from the beginning to `end` under `metres` (places in quarters, ascending).
struct MetreAt {
  Beats at;
  TimeSignature time;
};
std::vector<BarFrame> bar_frames(const std::vector<MetreAt>& metres, Beats end);

/// Writes `notes` into `bars` (made from `frames`): chords gathered, voices kept apart, lengths
/// split at bar lines and beats into written values with ties, tuplets bracketed, gaps of the first
/// voice filled with rests. Pitches are spelled for `fifths`.
void notate(const std::vector<QuantisedNote>& notes, const std::vector<BarFrame>& frames,
            int fifths, std::vector<Bar>& bars);

}  // namespace endpin::notation
