#pragma once

#include "endpin/hearing/hearing.h"

#include "measure/aligned.h"

namespace endpin::listen {

constexpr double shortest_line_s = 0.25;  ///< of what is not playing, worth a line (ours)

/// What the take is made of: stretches of playing, and between them silence, tuning, talk, a
/// count-in, or something else. `hearing` has its notes. O(frames).
void assemble_segments(const Aligned& aligned, Hearing& hearing);

}  // namespace endpin::listen
