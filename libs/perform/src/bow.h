#pragma once

#include <span>

#include "endpin/perform/performed_note.h"
#include "endpin/perform/tone_bank.h"

namespace endpin {

/// Samples of its tone that a note needs.
std::size_t tone_samples(const PerformedNote& note);

/// Adds `note`, made of `tone`, to `out`. At its start a stroke has half its amplitude after half
/// of its rise, so that the rise lies around the start; the same at its end. A joined note fades in
/// as the other fades out, with equal power, around the boundary.
void add_note(std::span<float> out, const PerformedNote& note, const StringTone& tone);

}  // namespace endpin
