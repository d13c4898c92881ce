#pragma once

#include <array>
#include <map>
#include <optional>
#include <string>
#include <string_view>

#include "endpin/score/score.h"

namespace endpin::notation {

/// A K: field: the signature, what it does to each step, and the words after it.
struct AbcKey {
  KeySignature signature;
  std::array<int, 7> alters{};  ///< by Step; explicit accidentals included
  bool given = false;           ///< false for a K: that only sets a clef
  bool exotic = false;          ///< accidentals that no circle-of-fifths signature has
};
AbcKey abc_key(std::string_view value);

/// What follows a key or a voice's name: clef, octave, transposition, name.
struct AbcProperties {
  std::optional<Clef> clef;
  std::optional<int> octave;
  std::optional<int> transpose;  ///< semitones
  std::string name;
  std::string short_name;
};
AbcProperties abc_properties(std::string_view value);

/// "6/8", "C|", "(2+3)/8"; nullopt for what cannot be read. `none` is senza misura.
std::optional<TimeSignature> abc_metre(std::string_view value);

/// "1/8" as half a quarter.
std::optional<Beats> abc_unit_length(std::string_view value);
/// What holds where no L: does (ABC 2.1, section 3.1.7).
Beats default_unit_length(const TimeSignature& time);

struct AbcTempo {
  std::string words;
  std::optional<Metronome> mark;
};
/// `unit` is what a bare number counts (ABC 2.1, section 10.1: outdated Q: syntax).
AbcTempo abc_tempo(std::string_view value, Beats unit);

}  // namespace endpin::notation
