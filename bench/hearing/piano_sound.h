#pragma once

#include <vector>

#include "endpin/base/audio.h"
#include "endpin/base/units.h"

namespace endpin::evaluation {

struct PianoNote {
  Seconds onset, offset;  ///< of the key
  int midi = 60;
  double velocity = 70;  ///< 1…127
};

/// The grand piano of the General MIDI sound font (performance_rate), without reverb; silence
/// where the font cannot be loaded.
Audio piano_sound(std::vector<PianoNote> notes, Seconds length);

}  // namespace endpin::evaluation
