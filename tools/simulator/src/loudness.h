#pragma once

#include "endpin/base/audio.h"

namespace endpin::simulator {

/// Root mean square of the parts that sound: of the block of 50 ms that three in ten are louder
/// than.
double loudness(const Audio& audio);

}  // namespace endpin::simulator
