#pragma once

#include "endpin/hearing/hearing.h"

#include "measure/aligned.h"

namespace endpin::listen {

/// 0…1: of what sounds strongly while notes are heard, the share of clear partials that are neither
/// theirs nor those of the notes just before and after: others in the room. What rings on, noise
/// and a room add nothing to it. O(partials).
double share_of_others(const Aligned& aligned, const Hearing& hearing);

}  // namespace endpin::listen
