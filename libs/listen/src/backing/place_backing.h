#pragma once

#include <optional>

#include "endpin/listen/listen.h"

namespace endpin::listen {

/// Where a backing lies in a recording.
struct Placement {
  Seconds at;  ///< in the recording: where the backing begins; before 0: it was running already
  double rate = 1;  ///< seconds of the backing in a second of the recording: two clocks
};

/// Finds it by the waveform, near `backing.at` where that is given. A loudspeaker, a room and a
/// microphone change how loud frequencies arrive but hardly when, so the whitened cross-correlation
/// (GCC-PHAT, Knapp & Carter 1976) of block after block has its peak at the same lag, or on a
/// straight line of lags where the clocks differ by up to 150 ppm. A place is believed where the
/// filter that one half of the sound gives makes the other half softer (`Loudspeaker::held_out`):
/// what a student plays in unison, from headphones, has no such filter. Empty: none is. O(length),
/// with memory for a quarter of the recording.
std::optional<Placement> place_backing(AudioView recording, const Backing& backing);

}  // namespace endpin::listen
