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
};
const char* name(EtudeKind kind);

/// Minutes of notes without a rest for "violin" or "cello": bars alike in their kind, the bow
/// separate, or two, four or eight to a slur.
Timeline etude(EtudeKind kind, const std::string& instrument, int bars, double bpm,
               std::uint64_t seed);

/// As the etude's player means it: as written, and trills on long notes where the kind has them.
simulator::Plan plan_of(EtudeKind kind, const Timeline& timeline);

}  // namespace endpin::evaluation
