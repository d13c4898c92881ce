#pragma once

#include <cstdint>
#include <string>

#include "endpin/simulator/plan.h"
#include "endpin/timeline/timeline.h"

namespace endpin::evaluation {

/// What an etude is full of.
enum class EtudeKind {
  running,   ///< sixteenths: scales, broken thirds and chords over three strings, each pitch twice
  crossing,  ///< sixteenths to and fro between an open string and a higher one, wide leaps
  stopping,  ///< double stops in thirds and sixths, chords of three, single notes between
  trilling,  ///< eighths and quarters, every long one with a trill that is not written
  singing,   ///< a slow melody: eighths to whole notes, dotted ones, leaps, pitches said twice
  voices,    ///< two voices, one held while the other goes on, and broken chords of three and four
};
const char* name(EtudeKind kind);

/// Minutes of notes without a rest for "violin" or "cello": bars alike in their kind, the bow
/// separate, or two, four or eight to a slur.
Timeline etude(EtudeKind kind, const std::string& instrument, int bars, double bpm,
               std::uint64_t seed);

/// As the etude's player means it: as written, and trills on long notes where the kind has them. Of
/// two voices the held one is at times let go when the other moves on, else that goes on in the
/// same stroke; chords of more than two notes are broken from below, the upper two on the beat.
simulator::Plan plan_of(EtudeKind kind, const Timeline& timeline, std::uint64_t seed);

}  // namespace endpin::evaluation
