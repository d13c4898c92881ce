#pragma once

#include <array>
#include <string_view>
#include <vector>

#include "endpin/base/pitch.h"
#include "endpin/timeline/timeline.h"
#include "endpin/words/sentence.h"

namespace endpin {

enum class Mode { major, minor, dorian, phrygian, lydian, mixolydian, locrian };
/// Which sixth and seventh a minor piece has.
enum class MinorForm { none, natural, harmonic, melodic };

/// The third above the tonic is a minor one.
bool is_minor(Mode mode);

/// A tonic and a mode; the octave of the tonic means nothing.
struct Key {
  SpelledPitch tonic;
  Mode mode = Mode::major;
  /// Sharps of the signature that belongs to it, flats below 0.
  int fifths() const;
};

struct KeyFinding {
  Key key;
  MinorForm form = MinorForm::none;
  int signature = 0;   ///< sharps that are printed, flats below 0
  bool agrees = true;  ///< signature and notes say the same
  double margin = 0;   ///< how far the second best is behind; below 0.1 it is a near thing
  Key second;
  Key by_krumhansl;  ///< best major or minor key by each profile alone
  Key by_temperley;
  Sentence says;          ///< "G major"
  Sentence disagreement;  ///< what signature and notes say against each other; empty if they agree
};

/// Weight of each pitch class, C first; durations in quarters.
using PitchClasses = std::array<double, 12>;
PitchClasses pitch_classes(const Timeline& timeline);

/// Correlation of `weights` with a key profile, -1 … 1.
/// Krumhansl & Kessler 1982; Temperley's revision.
enum class Profile { krumhansl, temperley };
double profile_fit(const PitchClasses& weights, int tonic_class, bool minor, Profile profile);

/// The same with a profile of the mode: that of major or minor with the degrees that the mode
/// raises or lowers in each other's place (ours).
double mode_fit(const PitchClasses& weights, int tonic_class, Mode mode, Profile profile);

/// The key of what is played, from the signature, the notes, the ending. `declared_mode` is what
/// the file says ("minor", "dorian"), or empty.
KeyFinding find_key(const Timeline& timeline, std::string_view declared_mode = {});

/// "G major", "a-Moll".
Sentence key_sentence(const Key& key);

std::string_view name(Mode mode);
std::string_view name(MinorForm form);

}  // namespace endpin
