#pragma once

#include <optional>
#include <string>
#include <vector>

#include "endpin/lesson/material.h"
#include "endpin/words/sentence.h"

namespace endpin {

/// A line for the beginning of practice, before bars, fingerings and bowings.
struct WarmUp {
  std::string recipe;  ///< "scale", "rhythm-scale", "arpeggio", "finger-pattern", "crossing", "bow"
  Sentence title;
  Sentence listen;              ///< one thing to listen for
  std::vector<Phrase> phrases;  ///< written pitches
  TimeSignature time;
};

/// Warm-ups in the key of the piece, out of its notes and rhythms, in the order in which one would
/// play them. Every pitch can be played within the step; what cannot be made so is left out, so
/// that a piece on open strings has only those on open strings. Never empty for a piece that has a
/// playable note.
std::vector<WarmUp> warm_ups(const Material& material);

/// The full bar whose rhythm of two values or more comes most often in the piece; the first of
/// equals. Nothing if every bar is even.
std::optional<Phrase> typical_rhythm(const Part& part);

}  // namespace endpin
