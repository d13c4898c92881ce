#pragma once

#include <vector>

#include "measure/aligned.h"

namespace endpin::listen {

/// `midi` is the semitone to which a note is half way: one tone, played out of tune, has both
/// names.
bool is_half_way_to(const NoteHearing& note, int midi);

/// Tones that the score does not tell: another pitch between two notes, stable for 70
/// to 120 ms and no resonance of what was played; or a note struck again within its time. Only
/// where the evidence is strong. `hearing` has its notes judged.
std::vector<ExtraNote> find_extras(const Aligned& aligned, const Hearing& hearing);

}  // namespace endpin::listen
