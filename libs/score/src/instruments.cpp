#include <algorithm>
#include <array>
#include <cctype>
#include <limits>
#include <string>
#include <string_view>

#include "endpin/score/unfold.h"

namespace endpin {
namespace {

struct Word {
  std::string_view text;
  std::string_view instrument;  // empty: one that is not bowed
};

// Whole words of part names in the languages of print; the longer ones first, since "contrabass
// clarinet" holds "contrabass" and "viola da gamba" holds "viola".
constexpr std::array words{Word{"viola da gamba", ""},   Word{"bass guitar", ""},
                           Word{"bass clarinet", ""},    Word{"contrabass clarinet", ""},
                           Word{"contrabassoon", ""},    Word{"bass drum", ""},
                           Word{"bass trombone", ""},    Word{"electric bass", ""},
                           Word{"double bass", "bass"},  Word{"string bass", "bass"},
                           Word{"upright bass", "bass"}, Word{"doublebass", "bass"},
                           Word{"contrabass", "bass"},   Word{"contrabasses", "bass"},
                           Word{"contrabasso", "bass"},  Word{"contrabassi", "bass"},
                           Word{"contrabajo", "bass"},   Word{"contrebasse", "bass"},
                           Word{"contrabaixo", "bass"},  Word{"kontrabass", "bass"},
                           Word{"kontrabaß", "bass"},    Word{"kontrabas", "bass"},
                           Word{"basses", "bass"},       Word{"cb", "bass"},
                           Word{"db", "bass"},           Word{"kb", "bass"},
                           Word{"violoncello", "cello"}, Word{"violoncelli", "cello"},
                           Word{"violoncelle", "cello"}, Word{"violonchelo", "cello"},
                           Word{"violoncelo", "cello"},  Word{"cello", "cello"},
                           Word{"celli", "cello"},       Word{"cellos", "cello"},
                           Word{"vc", "cello"},          Word{"vcl", "cello"},
                           Word{"vlc", "cello"},         Word{"bratsche", "viola"},
                           Word{"bratschen", "viola"},   Word{"viola", "viola"},
                           Word{"violas", "viola"},      Word{"viole", "viola"},
                           Word{"vla", "viola"},         Word{"va", "viola"},
                           Word{"violin", "violin"},     Word{"violins", "violin"},
                           Word{"violine", "violin"},    Word{"violinen", "violin"},
                           Word{"violino", "violin"},    Word{"violini", "violin"},
                           Word{"violín", "violin"},     Word{"violon", "violin"},
                           Word{"violons", "violin"},    Word{"geige", "violin"},
                           Word{"fiddle", "violin"},     Word{"vln", "violin"},
                           Word{"vl", "violin"},         Word{"vn", "violin"}};

// Names that say nothing about the instrument.
constexpr std::array<std::string_view, 12> silent_names{"part",  "music",   "staff",  "voice",
                                                        "solo",  "strings", "string", "instrument",
                                                        "track", "melody",  "tune",   "student"};

char lower(char c) { return static_cast<char>(std::tolower(static_cast<unsigned char>(c))); }

bool letter(char c) {
  return std::isalpha(static_cast<unsigned char>(c)) != 0 || (static_cast<unsigned char>(c) & 0x80);
}

/// Lower case, everything but letters a single space, a space at both ends.
std::string simplified(std::string_view name) {
  std::string text = " ";
  for (const char c : name) {
    if (letter(c)) {
      text += lower(c);
    } else if (text.back() != ' ') {
      text += ' ';
    }
  }
  if (text.back() != ' ') text += ' ';
  return text;
}

/// "violin", … ; "" for another instrument; nullopt where the name says nothing.
std::optional<std::string_view> by_name(std::string_view name) {
  const std::string text = simplified(name);
  for (const Word& word : words) {
    if (text.find(" " + std::string(word.text) + " ") != std::string::npos) return word.instrument;
  }
  if (text == " bass ") return "bass";
  for (const std::string_view silent : silent_names) {
    if (text.find(" " + std::string(silent) + " ") != std::string::npos) return std::nullopt;
  }
  // Single letters and roman numbers are no name: "P1", "I", "II".
  return text.size() <= 4 ? std::nullopt : std::optional<std::string_view>("");
}

std::optional<std::string_view> by_sound(std::string_view sound) {
  if (sound.empty()) return std::nullopt;
  if (sound.starts_with("strings.violin")) return "violin";
  if (sound.starts_with("strings.viola")) return "viola";
  if (sound.starts_with("strings.cello")) return "cello";
  if (sound.starts_with("strings.contrabass")) return "bass";
  if (sound.starts_with("strings.group")) return std::nullopt;
  return "";
}

/// General MIDI level 1 sound set: 41 violin, 42 viola, 43 cello, 44 contrabass; 45, 46 and 49–52
/// are strings of any size. Program 1 is what files say that say nothing.
std::optional<std::string_view> by_program(std::optional<int> program) {
  constexpr std::array<std::string_view, 4> solo{"violin", "viola", "cello", "bass"};
  if (!program || *program == 1) return std::nullopt;
  if (*program >= 41 && *program <= 44) return solo[*program - 41];
  const bool any_strings = *program == 45 || *program == 46 || (*program >= 49 && *program <= 52);
  return any_strings ? std::nullopt : std::optional<std::string_view>("");
}

struct Range {
  int lowest = std::numeric_limits<int>::max();
  int highest = std::numeric_limits<int>::min();
};

Range written_range(const Part& part) {
  Range range;
  for (const Bar& bar : part.bars) {
    for (const Note& note : bar.notes) {
      if (note.is_rest() || note.unpitched) continue;
      range.lowest = std::min(range.lowest, note.pitch.midi());
      range.highest = std::max(range.highest, note.pitch.midi());
    }
  }
  return range;
}

bool reaches(Range range, int lowest) { return range.lowest >= lowest && range.lowest < 128; }

std::string_view by_clef(const Part& part) {
  if (part.bars.empty() || part.staves > 1) return "";
  const Clef clef = contexts(part).front().clef;
  const Range range = written_range(part);
  constexpr int violin_g3 = 55;
  constexpr int viola_c3 = 48;
  constexpr int cello_c2 = 36;
  if (clef.sign == ClefSign::g && reaches(range, violin_g3)) return "violin";
  if (clef.sign == ClefSign::c && clef.line == 3 && reaches(range, viola_c3)) return "viola";
  const bool low = clef.sign == ClefSign::f || clef.sign == ClefSign::c;
  if (low && part.transpose.octave_change == -1) return "bass";
  return low && reaches(range, cello_c2) ? "cello" : "";
}

}  // namespace

std::string guess_instrument(const Part& part) {
  for (const auto& found : {by_name(part.name), by_sound(part.instrument_sound),
                            by_name(part.abbreviation), by_program(part.midi_program)}) {
    if (found && !found->empty()) return std::string(*found);
  }
  const auto name = by_name(part.name);
  const auto sound = by_sound(part.instrument_sound);
  const auto program = by_program(part.midi_program);
  if ((name && name->empty()) || (sound && sound->empty()) || (program && program->empty())) {
    return "";
  }
  return std::string(by_clef(part));
}

Transposition sounding_transposition(const Part& part, std::string_view instrument) {
  if (instrument != "bass" || part.transpose.semitones() != 0 || part.bars.empty()) {
    return part.transpose;
  }
  // The lowest written note of a bass with a low C string is C2; what lies below is sounding pitch.
  constexpr int lowest_written = 36;
  const bool octave_clef = contexts(part).front().clef.octave_change < 0;
  if (octave_clef || written_range(part).lowest < lowest_written) return part.transpose;
  return {0, 0, -1};
}

}  // namespace endpin
