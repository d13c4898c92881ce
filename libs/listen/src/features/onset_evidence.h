#pragma once

#include <span>
#include <vector>

#include "endpin/dsp/onset_strength.h"

namespace endpin::listen {

/// [frame] log likelihood ratio of a beginning, from the flux against its surroundings; -2…3.5.
/// `step_s`: from frame to frame. O(frames).
std::vector<float> onset_evidence(std::span<const OnsetFrame> onset, double step_s);

}  // namespace endpin::listen
