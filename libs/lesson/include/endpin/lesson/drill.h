#pragma once

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "endpin/hearing/hearing.h"
#include "endpin/lesson/material.h"
#include "endpin/words/sentence.h"

namespace endpin {

/// Why a place needs work: what the study saw in the score, or what was heard.
enum class Trouble {
  rhythm,      ///< values that are easily mistaken: dotted, tied, off the beat
  twin,        ///< almost the same as another bar
  crossing,    ///< the bow changes strings often
  shift,       ///< the hand moves
  reach,       ///< a sharp, a flat or an extension under the fingers
  slur,        ///< several notes in one bow
  long_note,   ///< has to be held to its end
  fast_notes,  ///< many short notes
  bowing,      ///< the bow does not come out as it comes
  intonation,  ///< heard too high or too low
  notes,       ///< heard other notes, or fewer
  separation,  ///< heard joined what is to be apart
  other,
};
std::string_view name(Trouble trouble);

/// A place that is to be practised.
struct DrillPlace {
  Trouble trouble = Trouble::other;
  int bar = 0;                ///< index into the part's bars
  int bars = 1;               ///< so many in a row
  std::optional<int> twin{};  ///< the bar's twin, an index too
  /// Index among the notes of the bar's line of the first note after the shift, where it is known.
  std::optional<int> note{};
  std::optional<FindingKind> heard{};  ///< the finding that it comes from, if it does
};

/// An exercise made of a place, before fingerings and bowings.
struct Drill {
  std::string recipe;  ///< "alone", "rhythm", "counted", "in-turn", "shift", "open-strings",
                       ///< "growing", "slur-later", "slur-first", "dotted"
  Sentence title;
  Sentence why;                   ///< one line
  std::vector<std::string> bars;  ///< printed numbers that it is for
  int bar = 0;                    ///< index of the first of them
  std::vector<Bar> music;         ///< written pitches
  bool repeat = false;            ///< between repeat signs
};

/// Which string each written note of the part is played on, by Note::id; 0 where not known.
using StringOf = std::function<int(std::string_view)>;

/// Drills for `place`, the fitting one first. All keep to the place's own notes or to open strings.
/// REQUIRES: the place's bars are there.
std::vector<Drill> drills(const Material& material, const DrillPlace& place,
                          const StringOf& string_of);

}  // namespace endpin
