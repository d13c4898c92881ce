#pragma once

#include <string>
#include <vector>

#include "endpin/base/beats.h"
#include "endpin/base/result.h"
#include "endpin/lesson/drill.h"
#include "endpin/lesson/material.h"
#include "endpin/lesson/warm_up.h"
#include "endpin/notation/write.h"
#include "endpin/score/score.h"
#include "endpin/technique/markings.h"
#include "endpin/timeline/timeline.h"
#include "endpin/words/sentence.h"

namespace endpin {

enum class ExerciseKind { warm_up, drill };

/// A warm-up or drill, ready to be engraved and heard.
struct Exercise {
  std::string key;  ///< "warm-up-scale", "drill-4-rhythm": the same for the same piece; notes' ids
                    ///< begin with it
  ExerciseKind kind = ExerciseKind::warm_up;
  std::string recipe;
  Sentence title;
  Sentence says;                  ///< what to listen for, or why
  std::vector<std::string> bars;  ///< of the piece, that it is for
  Score score;                    ///< of one part
  Timeline timeline;
  Markings markings;  ///< its fingerings and bowings
  std::string step;   ///< that it needs
};

/// Fingerings and bowings proposed, played order made. Errors: nothing sounds in it.
Result<Exercise> exercise_of(const Material& material, const WarmUp& warm_up);
Result<Exercise> exercise_of(const Material& material, const Drill& drill);

/// The markings as the MusicXML writer wants them: fingers and strings where a reader needs them
/// (the first note, a new hand, a new string, the first after an open string), bows where shown.
/// With `every_finger` each note has its finger, as a beginner's scale does.
MarkingsById shown_markings(const Markings& markings, bool every_finger = false);

}  // namespace endpin
