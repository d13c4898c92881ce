#include "endpin/words/note_names.h"

#include <array>
#include <cstddef>

#include "endpin/words/sentence.h"

namespace endpin {
namespace {

using Names = std::array<std::string_view, 7>;

constexpr Names letters{"C", "D", "E", "F", "G", "A", "B"};
// Fixed do (handbook of the trade, 5); Portuguese and French write accents.
constexpr Names syllables{"do", "re", "mi", "fa", "sol", "la", "si"};
constexpr Names french{"do", "ré", "mi", "fa", "sol", "la", "si"};
constexpr Names portuguese{"dó", "ré", "mi", "fá", "sol", "lá", "si"};

std::string accidental(int alter) {
  switch (alter) {
    case -2:
      return "𝄫";
    case -1:
      return "♭";
    case 1:
      return "♯";
    case 2:
      return "𝄪";
    default:
      return "";
  }
}

// Cis, Ces; the vowels E and A contract (Es, As), and B flat has a name of its own.
std::string german(SpelledPitch pitch) {
  const bool vowel = pitch.step == Step::e || pitch.step == Step::a;
  std::string name(pitch.step == Step::b ? "H" : letters[static_cast<std::size_t>(pitch.step)]);
  if (pitch.step == Step::b && pitch.alter == -1) return "B";
  for (int i = 0; i < pitch.alter; ++i) name += "is";
  for (int i = 0; i > pitch.alter; --i) name += vowel && i == 0 ? "s" : "es";
  return name;
}

constexpr std::array<std::string_view, 8> values{
    "breve", "whole", "half", "quarter", "eighth", "sixteenth", "thirty-second", "sixty-fourth"};

std::string plain_number(Beats quarters) { return quarters.text(); }

std::string named(std::string_view prefix, Beats quarters, Language language) {
  const std::string key = duration_key(quarters);
  if (key.empty()) return plain_number(quarters);
  return say(std::string(prefix) + key.substr(std::string_view("duration").size()), language);
}

}  // namespace

std::string note_name(SpelledPitch pitch, Language language) {
  const auto step = static_cast<std::size_t>(pitch.step);
  switch (language) {
    case Language::de:
      return german(pitch);
    case Language::fr:
      return std::string(french[step]) + accidental(pitch.alter);
    case Language::pt:
      return std::string(portuguese[step]) + accidental(pitch.alter);
    case Language::es:
    case Language::it:
      return std::string(syllables[step]) + accidental(pitch.alter);
    case Language::en_us:
    case Language::en_gb:
      break;
  }
  return std::string(letters[step]) + accidental(pitch.alter);
}

std::string note_name_with_octave(SpelledPitch pitch, Language language) {
  return note_name(pitch, language) + std::to_string(pitch.octave);
}

std::string duration_key(Beats quarters) {
  Beats value(8);
  for (const std::string_view name : values) {
    if (quarters == value) return "duration." + std::string(name);
    if (quarters == value * Beats(3, 2)) return "duration.dotted." + std::string(name);
    value = value / Beats(2);
  }
  return "";
}

std::string duration_name(Beats quarters, Language language) {
  return named("duration", quarters, language);
}

std::string rest_name(Beats quarters, Language language) {
  return named("rest", quarters, language);
}

}  // namespace endpin
