#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "endpin/base/units.h"

namespace endpin {

/// The seven note names, C lowest in an octave.
enum class Step { c, d, e, f, g, a, b };

/// A note as it is written: C♯4 is not D♭4. Octave 4 starts at middle C (ISO 16, scientific).
struct SpelledPitch {
  Step step = Step::c;
  int alter = 0;  ///< semitones: +1 sharp, -1 flat
  int octave = 4;

  bool operator==(const SpelledPitch&) const = default;

  /// 60 is middle C (MIDI 1.0).
  int midi() const;
  /// Steps above C0 on the staff, whatever the accidental: C4 is 28.
  int staff_step() const;
  /// "F#3", "Bb2", "C4": ASCII, as `parse` reads it.
  std::string text() const;
  /// "F♯3", "B♭2", "C4".
  std::string pretty() const;
  static std::optional<SpelledPitch> parse(std::string_view text);
};

/// A place on the line of fifths: C 0, G 1, F -1, F♯ 6, B♭ -2.
int line_of_fifths(SpelledPitch pitch);
/// The note name and accidental at a place on the line of fifths, in `octave`.
SpelledPitch from_line_of_fifths(int place, int octave);

/// The pitch of a MIDI number spelled for a key of `fifths` sharps (negative: flats): notes of the
/// key by its signature, others as the nearest on the line of fifths around it.
SpelledPitch spell(int midi, int fifths);

/// Equal temperament around A4.
Hertz frequency(int midi, Hertz a4 = standard_a4);
inline Hertz frequency(SpelledPitch pitch, Hertz a4 = standard_a4) {
  return frequency(pitch.midi(), a4);
}
/// How far `f` lies above MIDI number `midi` in equal temperament at `a4`. REQUIRES: f > 0.
Cents deviation(Hertz f, int midi, Hertz a4 = standard_a4);

}  // namespace endpin
