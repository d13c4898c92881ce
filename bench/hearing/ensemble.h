#pragma once

#include <cstdint>
#include <vector>

#include "endpin/base/audio.h"
#include "endpin/base/units.h"
#include "endpin/timeline/timeline.h"

#include "truth.h"

namespace endpin::evaluation {

/// When a played note began, by its index.
struct PlacedNote {
  int index = 0;
  Seconds onset;
};

/// Of each row of a truth, the first note.
std::vector<PlacedNote> placed(const std::vector<measures::TrueNote>& truth);

/// `others` under `player`, in power so far below it.
Audio among(Audio player, Audio others, Decibels below);

/// Three simulated players beside one: second violin, viola and cello, on the beats of who plays
/// `timeline` and in the harmony of what is written: chords that its notes ask for, sustained, in
/// quarters or in eighths, and now and then its own line in unison or an octave below. Each is as
/// loud as the others. `first_voice`: of the synthetic voices that sound.
Audio companions(const Timeline& timeline, const std::vector<PlacedNote>& placed, Seconds length,
                 int rate, int first_voice, std::uint64_t seed);

/// A pianist beside one, in the same manner: a bass and two voices of chords, by FluidSynth with
/// the grand piano of the General MIDI sound font. Empty where that cannot be loaded.
Audio piano(const Timeline& timeline, const std::vector<PlacedNote>& placed, Seconds length,
            int rate, std::uint64_t seed);

/// One simulated player beside one: "viola" or "cello", as above.
Audio duet_partner(const Timeline& timeline, const std::vector<PlacedNote>& placed, Seconds length,
                   int rate, int voice, std::uint64_t seed);

/// The times of the beats between the first and the last note that was placed: straight lines
/// between its onsets.
std::vector<Seconds> beat_times(const Timeline& timeline, const std::vector<PlacedNote>& placed,
                                double quarters_apart);

}  // namespace endpin::evaluation
