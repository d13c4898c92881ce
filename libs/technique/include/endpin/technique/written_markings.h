#pragma once

#include "endpin/notation/write.h"
#include "endpin/technique/markings.h"

namespace endpin {

/// How much is written into a part.
enum class MarkingDensity {
  every_note,    ///< string and finger of each note
  where_needed,  ///< where the hand moves or stretches, on a choice between strings, and at
                 ///< beginnings
};

/// The teacher's and the proposed markings as the writer takes them; what is printed stays as it
/// is.
MarkingsById written_markings(const Markings& markings,
                              MarkingDensity density = MarkingDensity::every_note);

}  // namespace endpin
