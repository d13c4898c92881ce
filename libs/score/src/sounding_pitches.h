#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "endpin/score/score.h"

namespace endpin {

/// What sounds where notes are written: transpositions that change inside a part, and harmonics.
class SoundingPitches {
 public:
  /// `part` must outlive this. `instrument` as for `sounding_transposition`.
  SoundingPitches(const Part& part, std::string_view instrument);

  /// From written to sounding at `onset` in bar `bar`.
  const Transposition& transposition(int bar, Beats onset) const;
  /// Of note `index` in bar `bar`; nullopt for a notehead that shows only where a finger lies.
  std::optional<SpelledPitch> of(int bar, int index) const;

 private:
  const Part& part_;
  std::vector<Context> contexts_;
  Transposition first_;
};

/// What sounds when a string stopped at `base` is touched at `touched`: the partial whose node lies
/// there (an octave above it the 2nd, a fifth the 3rd, a fourth the 4th, a major third or sixth the
/// 5th, a minor third the 6th); nullopt where no low partial has one.
std::optional<SpelledPitch> touched_harmonic(SpelledPitch base, SpelledPitch touched);

}  // namespace endpin
