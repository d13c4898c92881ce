#pragma once

#include "endpin/hearing/hearing.h"

#include "measure/aligned.h"

namespace endpin::listen {

/// What the take is made of: stretches of playing, and between them silence, tuning, talk, a
/// count-in, or something else. `hearing` has its notes. O(frames).
void assemble_segments(const Aligned& aligned, Hearing& hearing);

}  // namespace endpin::listen
