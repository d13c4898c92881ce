#pragma once

#include "align/observations.h"
#include "played.h"

namespace endpin::listen {

/// What the stages from the second pass on see of a recording, which must outlive it.
class Seen {
 public:
  Seen(const Tune& tune, const Recording& r, const Evidence& uses = {})
      : sound_(sound_features(r.view(), {}, {})),
        score_(score_model(std::span(&tune.timeline, 1), {})),
        pitch_(sound_, score_.lowest_midi - 13, score_.highest_midi + 13, 0, uses),
        observations_(sound_, pitch_, uses) {}

  const SoundFeatures& sound() const { return sound_; }
  const ScoreModel& score() const { return score_; }
  const Observations& observations() const { return observations_; }

 private:
  SoundFeatures sound_;
  ScoreModel score_;
  PitchEvidence pitch_;
  Observations observations_;
};

}  // namespace endpin::listen
