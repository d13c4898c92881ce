#pragma once

#include "endpin/base/audio.h"

namespace endpin::evaluation {

/// The same sound at another rate, straight lines between samples: for what is mixed in, not for
/// what is measured.
Audio at_rate(const Audio& audio, int rate);
/// Root mean square of all samples; 0 for none.
double rms(const Audio& audio);
/// Adds `other`, `gain` times, from `at` on; `into` grows where it must. REQUIRES: the same rate.
void mix_in(Audio& into, const Audio& other, Seconds at, double gain);
/// `first`, then `second`. REQUIRES: the same rate.
Audio joined(Audio first, const Audio& second);
Audio silence(Seconds length, int rate);

}  // namespace endpin::evaluation
