#pragma once

#include <vector>

#include "endpin/base/beats.h"

#include "midi_file.h"

namespace endpin::notation {

struct QuantisedNote {
  Beats onset;
  Beats end;
  int pitch = 60;
};

/// Notes on a readable grid. Each quarter gets the coarsest division (halves, quarters, thirds, …)
/// that its onsets fit; a note that sounds most of the way to the next is made to reach it. The
/// weights are ours. O(n log n). Ascending by onset, then pitch.
std::vector<QuantisedNote> quantise(std::vector<MidiNote> notes, Ticks ticks_per_quarter);

}  // namespace endpin::notation
