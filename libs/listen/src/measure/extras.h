#pragma once

#include <span>
#include <vector>

#include "measure/aligned.h"
#include "measure/beat.h"

namespace endpin::listen {

/// `midi` is the semitone to which a note is half way: one tone, played out of tune, has both
/// names.
bool is_half_way_to(const NoteHearing& note, int midi);

/// Tones that the score does not tell: another pitch between two notes, stable for 70
/// to 120 ms and no resonance of what was played; or a note struck again within its time. Only
/// where the evidence is strong. `beats`: of the events. `hearing` has its notes judged.
std::vector<ExtraNote> find_extras(const Aligned& aligned, std::span<const LocalBeat> beats,
                                   const Hearing& hearing);

}  // namespace endpin::listen
