#pragma once

#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "endpin/study/study.h"

#include "bars.h"
#include "sections.h"

/// Readers that gather spots, each from what it knows of hand, bow or rhythm.
namespace endpin::study_internal {

enum class Kind {
#define SPOT(name, text, weight, why) name,
#include "endpin/study/spot_weights.def"
#undef SPOT
};

using Notes = std::vector<const TimelineNote*>;

struct SpotReader {
  const Timeline& timeline;
  const std::vector<WrittenBar>& bars;
  const Instrument& instrument;
  const StudyOptions& options;
  double slower = 1;  ///< seconds at the target tempo for one of the timeline's
  std::vector<Spot> found;

  /// At the target tempo.
  double seconds(Beats from, Beats to) const;
  /// One spot a kind and bar: notes are gathered, the measure is the largest, and the reason that
  /// of the largest.
  void add(Kind kind, const std::string& bar, const Notes& notes, const Sentence& reason,
           double measure = 1);

  std::map<std::pair<Kind, std::string>, std::size_t> places;  ///< in `found`
};

/// Crossings, shifts, extensions, fingers that lie low and high, awkward patterns.
void read_hand_spots(SpotReader& reader, const Notes& notes);
/// Long bows, retakes, changes of stroke, double stops.
void read_bow_spots(SpotReader& reader, const Notes& notes);

}  // namespace endpin::study_internal
