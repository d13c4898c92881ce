#pragma once

#include <string>
#include <string_view>

#include "endpin/base/beats.h"
#include "endpin/base/pitch.h"
#include "endpin/words/language.h"

namespace endpin {

/// The name of a note without its octave: B♭ is B♭, B, si♭. German has H for B natural and B for B
/// flat; French, Italian, Spanish and Portuguese use the syllables of fixed do.
std::string note_name(SpelledPitch pitch, Language language);
/// With the octave of scientific pitch notation: F♯3, Fis3, fa♯3.
std::string note_name_with_octave(SpelledPitch pitch, Language language);

/// The key of the catalogue for a written value of `quarters` ("duration.half",
/// "duration.dotted.quarter"), or empty if no single note or dotted note lasts so long.
std::string duration_key(Beats quarters);
/// "half", "dotted crotchet", "Achtel", "blanche pointée"; a plain number of quarters where no
/// single value lasts so long.
std::string duration_name(Beats quarters, Language language);
/// "half rest", "soupir", "Achtelpause".
std::string rest_name(Beats quarters, Language language);

}  // namespace endpin
