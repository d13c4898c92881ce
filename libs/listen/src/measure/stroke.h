#pragma once

#include "features/sound_features.h"

namespace endpin::listen {

/// Decibels by which the level sinks around `at_s` below what sounds before and after it, the
/// smaller of the two (half a second before, an eighth after); 0 or more. A bow that turns takes 20
/// to 60 ms.
double level_dip(const SoundFeatures& sound, double at_s);

}  // namespace endpin::listen
