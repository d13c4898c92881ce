#pragma once

#include <vector>

#include "endpin/technique/fingering.h"
#include "endpin/words/sentence.h"

namespace endpin::technique {

/// Why an event is fingered as it is, in one sentence each.
std::vector<Sentence> fingering_reasons(std::span<const FingeringEvent> events,
                                        const Fingering& fingering, const Instrument& instrument);
/// The hand is elsewhere in `here` than it was in `before`, which could be played.
bool hand_moves(const FingeredEvent& before, const FingeredEvent& here);
/// The hand moves to play event `i`.
bool shifts_to(const Fingering& fingering, std::size_t i);

}  // namespace endpin::technique
