#pragma once

#include <cstddef>
#include <map>
#include <span>
#include <utility>
#include <vector>

#include "endpin/base/pitch.h"
#include "endpin/base/result.h"
#include "endpin/perform/sounds.h"

namespace endpin {

/// One pitch, ready to be bowed or plucked: in tune, even, and with its beginning known.
struct StringTone {
  std::span<const float>
      samples;              ///< from the first sound of the string; valid until the next call
  std::size_t settled = 0;  ///< from here on it no longer speaks but sounds: a slur enters here
};

/// Sounds made fit to play along with, each measured as it is taken:
/// - its pitch is tracked (`PitchTrack`) and the samples are read at a speed that undoes the track:
///   the slow error whole, the vibrato of the recording to a small rest;
/// - its level is tracked and evened out to one level for all pitches (RMS `tone_level`), so that a
///   note speaks at once and zones do not jump;
/// - silence before the string speaks is cut away.
/// Tones are kept: asking again, or for less, is free. One object for one thread at a time.
class ToneBank {
 public:
  /// REQUIRES: `sounds` outlives the bank.
  explicit ToneBank(Sounds& sounds, Hertz a4 = standard_a4) : sounds_(sounds), a4_(a4) {}

  /// At least `count` samples of `midi`. Plucked tones fade to silence within them.
  Result<StringTone> tone(Technique technique, int midi, std::size_t count);

 private:
  struct Kept {
    std::vector<float> samples;
    std::size_t settled = 0;
  };
  Result<Kept> prepare(Technique technique, int midi, std::size_t count);

  Sounds& sounds_;
  Hertz a4_;
  std::map<std::pair<Technique, int>, Kept> kept_;
};

/// RMS of every bowed tone once it has settled.
inline constexpr double tone_level = 0.1;

}  // namespace endpin
