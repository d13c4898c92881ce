#pragma once

#include <vector>

#include "endpin/base/units.h"
#include "endpin/perform/sounds.h"
#include "endpin/timeline/timeline.h"

namespace endpin {

/// How much of its written value a note sounds (handbook of the trade: Türk, C. P. E. Bach for the
/// dot; the rest is common practice). Data: a teacher may hold other views.
struct SoundingFractions {
  double staccato = 0.50;
  double staccatissimo = 0.25;
  double portato = 0.75;
  double spiccato = 0.50;
  double tenuto = 1.00;
  double slurred = 1.00;   ///< under a slur, to the next note of it
  double separate = 0.85;  ///< détaché shorter than `long_from`: a little space between the notes
  double marcato = 0.80;
  double hooked = 0.75;  ///< before another note of the same stroke that no slur joins
  double held = 1.00;    ///< détaché from `long_from` on: held to the full value
  Beats long_from{2};
};

/// One note as it is going to sound.
struct PerformedNote {
  int index = 0;  ///< of the timeline's note
  int midi = 60;
  Technique technique = Technique::bowed;
  Seconds start;               ///< its onset on the performance's clock
  Seconds end;                 ///< where it stops sounding
  Seconds value_end;           ///< where its written value ends: another stroke may begin here
  bool joined_before = false;  ///< goes on in the stroke of the note before, without an attack
  bool joined_after = false;   ///< the next note takes over
  double gain = 1.0;
};

/// The timeline's notes `from` … `to` (indices, both included) played at `tempo`; `start` is when
/// the timeline's quarter `origin` sounds. Pure; O(notes).
std::vector<PerformedNote> performed_notes(const Timeline& timeline, const TempoMap& tempo,
                                           Beats origin, Seconds start, int from, int to,
                                           const SoundingFractions& fractions = {});

}  // namespace endpin
