#pragma once

#include <vector>

#include "measure/aligned.h"

namespace endpin::listen {

/// Tones that the score does not tell: another pitch in the gap between two notes, stable for
/// 80 ms and no resonance of what was played; or a note struck again within its time. Only where
/// the evidence is strong. `hearing` has its notes judged.
std::vector<ExtraNote> find_extras(const Aligned& aligned, const Hearing& hearing);

}  // namespace endpin::listen
