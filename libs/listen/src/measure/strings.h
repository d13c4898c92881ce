#pragma once

#include "endpin/hearing/hearing.h"
#include "endpin/timeline/timeline.h"

namespace endpin::listen {

/// How each string of the instrument is tuned, from the notes of `item` that can only be its open
/// sound: marked so in the score, or the lowest note of the instrument. Strings without such notes
/// are left out: not known. O(notes).
std::vector<StringTuning> string_tunings(const Hearing& hearing, const Timeline& timeline,
                                         int item);

}  // namespace endpin::listen
