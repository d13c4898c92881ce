#pragma once

#include <optional>
#include <string>
#include <vector>

#include "endpin/base/beats.h"
#include "endpin/base/pitch.h"
#include "endpin/base/result.h"
#include "endpin/instrument/instrument.h"
#include "endpin/instrument/stops.h"
#include "endpin/lesson/line.h"
#include "endpin/score/score.h"
#include "endpin/technique/house_rules.h"
#include "endpin/timeline/timeline.h"

namespace endpin {

/// A key as its tonic and mode, and its notes.
struct ScaleKey {
  int fifths = 0;
  bool minor = false;
  /// Of the tonic at or above C in `octave`.
  SpelledPitch tonic(int octave) const;
  /// `steps` scale steps above `tonic`, which may be negative. With `raised`, the sixth and seventh
  /// of a minor key are those of the melodic form.
  SpelledPitch above(SpelledPitch tonic, int steps, bool raised = false) const;
};

/// What exercises are made from: a piece, who plays it, and how far the hand may go.
struct Material {
  const Score* score = nullptr;  ///< outlives this
  int part = 0;
  const Timeline* timeline = nullptr;  ///< of that part; outlives this
  const Instrument* instrument = nullptr;
  std::string step;                ///< what the piece demands, or what was asked for
  std::optional<ScaleKey> key{};   ///< as found; else that of the timeline
  std::vector<HouseRule> rules{};  ///< the teacher's, for exercises too

  const Part& written() const { return score->parts.at(static_cast<std::size_t>(part)); }
  const Reach& reach() const { return endpin::reach(*instrument, step); }
  /// What turns this part's pitches into sounding ones.
  Transposition transposition() const;
  /// Can be played within the step.
  bool playable(SpelledPitch sounding) const;
};

/// Seminotes that the signature of `fifths` adds to a letter: F gets +1 in G major.
int signature_alter(Step letter, int fifths);

/// The key of the piece.
ScaleKey key_of(const Material& material);

/// What a beat of `time` is in quarters: 1 in 4/4, 3/2 in 6/8, 2 in 2/2, 1/2 in 3/8 and 5/8.
Beats beat_of(const TimeSignature& time);

}  // namespace endpin
