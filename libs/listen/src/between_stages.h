#pragma once

#include <span>
#include <vector>

#include "endpin/listen/listen.h"

#include "evidence.h"
#include "measure/aligned.h"

/// A seam for measuring: what each stage of `hear` adds, and which errors are its own. Not for use
/// in a product.
namespace endpin::listen {

/// Is shown what each stage found and may put something else in its place before the next one
/// works on it. Called on the thread of `hear_staged`; a stage that runs again is shown again.
class BetweenStages {
 public:
  virtual ~BetweenStages() = default;
  virtual void features(SoundFeatures&) {}
  /// The coarse path, `at`: the moments among which it was sought.
  virtual void path(const ScoreModel&, std::span<const Candidate> at, Path&) {
    static_cast<void>(at);
  }
  /// The fine path. Ends are found anew by `find_end` where places change.
  virtual void events(const ScoreModel&, const Observations&, std::vector<Fine>&) {}
  /// States, measures, extra notes and restarts; what is derived from them (bars) is not yet known.
  virtual void notes(const Aligned&, Hearing&) {}
};

struct StagedOptions : HearOptions {
  Evidence evidence;
  BetweenStages* between = nullptr;  ///< not owned; null: nobody
};

/// `hear` with some of its evidence left out or something put between its stages. As made, the
/// options change nothing.
Hearing hear_staged(std::span<const Timeline> items, AudioView recording,
                    const StagedOptions& options, const Progress& progress = {});

}  // namespace endpin::listen
