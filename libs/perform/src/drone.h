#pragma once

#include <vector>

#include "endpin/perform/performed_note.h"

namespace endpin {

/// Tonic and fifth from `start` to `end`, low in the instrument's range: long bowed tones, each
/// taking over from the one before without a dip. Index -1.
std::vector<PerformedNote> drone_notes(const Timeline& timeline, Seconds start, Seconds end);

}  // namespace endpin
