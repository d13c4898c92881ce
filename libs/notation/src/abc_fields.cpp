#include "abc_fields.h"

#include <algorithm>
#include <vector>

#include "abc_scanner.h"
#include "accidentals.h"
#include "numbers.h"

namespace endpin::notation {
namespace {

constexpr std::string_view step_letters = "CDEFGAB";

std::string lower(std::string_view text) {
  std::string result(text);
  for (char& c : result) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return result;
}

std::vector<std::string_view> words_of(std::string_view text) {
  std::vector<std::string_view> words;
  AbcScanner scanner(text);
  for (scanner.skip_space(); !scanner.at_end(); scanner.skip_space()) {
    const std::size_t begin = scanner.place();
    bool quoted = false;
    while (!scanner.at_end() && (quoted || (scanner.peek() != ' ' && scanner.peek() != '\t'))) {
      if (scanner.next() == '"') quoted = !quoted;
    }
    words.push_back(text.substr(begin, scanner.place() - begin));
  }
  return words;
}

struct Mode {
  std::string_view beginning;
  std::string_view name;
  int fifths;  // from the major key of the same tonic
};
// ABC 2.1, section 3.1.14; only the first three letters count.
constexpr std::array<Mode, 9> modes{{{"maj", "major", 0},
                                     {"min", "minor", -3},
                                     {"ion", "major", 0},
                                     {"aeo", "minor", -3},
                                     {"mix", "mixolydian", -1},
                                     {"dor", "dorian", -2},
                                     {"phr", "phrygian", -4},
                                     {"lyd", "lydian", 1},
                                     {"loc", "locrian", -5}}};

const Mode* mode_named(std::string_view word) {
  const std::string name = lower(word);
  if (name == "m") return &modes[1];
  for (const Mode& mode : modes) {
    if (std::string_view(name).starts_with(mode.beginning)) return &mode;
  }
  return nullptr;
}

/// "^f" as +1 on F; false if `word` is no accidental.
bool apply_accidental(std::string_view word, AbcKey& key) {
  int alter = 0;
  std::size_t at = 0;
  for (; at < word.size() && (word[at] == '^' || word[at] == '_' || word[at] == '='); ++at) {
    alter += word[at] == '^' ? 1 : word[at] == '_' ? -1 : 0;
  }
  if (at == 0 || at >= word.size()) return false;
  const auto letter = static_cast<char>(std::toupper(static_cast<unsigned char>(word[at])));
  const std::size_t step = step_letters.find(letter);
  if (step == std::string_view::npos) return false;
  key.alters[step] = std::clamp(alter, -2, 2);
  key.exotic = true;
  return true;
}

void set_alters(AbcKey& key) {
  for (int step = 0; step < 7; ++step) {
    key.alters[step] = key_alter(static_cast<Step>(step), key.signature.fifths);
  }
}

struct NamedClef {
  std::string_view name;
  ClefSign sign;
  int line;
};
constexpr std::array<NamedClef, 8> clefs{{{"treble", ClefSign::g, 2},
                                          {"bass", ClefSign::f, 4},
                                          {"alto", ClefSign::c, 3},
                                          {"tenor", ClefSign::c, 4},
                                          {"soprano", ClefSign::c, 1},
                                          {"mezzosoprano", ClefSign::c, 2},
                                          {"baritone", ClefSign::f, 3},
                                          {"perc", ClefSign::percussion, 3}}};

/// "treble", "bass3", "treble-8", "alto+8" (ABC 2.1, section 4.6).
std::optional<Clef> clef_named(std::string_view word) {
  std::string text = lower(word);
  std::erase(text, '"');
  Clef clef;
  if (text.ends_with("-8")) clef.octave_change = -1;
  if (text.ends_with("+8")) clef.octave_change = 1;
  if (clef.octave_change != 0) text.resize(text.size() - 2);
  for (const NamedClef& named : clefs) {
    if (!std::string_view(text).starts_with(named.name)) continue;
    const std::string_view more = std::string_view(text).substr(named.name.size());
    if (more.size() > 1 && named.name != "perc") continue;
    clef.sign = named.sign;
    clef.line = named.line;
    if (more.size() == 1 && more[0] >= '1' && more[0] <= '5') clef.line = more[0] - '0';
    return clef;
  }
  return std::nullopt;
}

std::string_view unquoted(std::string_view text) {
  if (text.size() >= 2 && text.front() == '"' && text.back() == '"') {
    return text.substr(1, text.size() - 2);
  }
  return text;
}

std::optional<int> small(std::string_view text) {
  const auto number = whole_number(text);
  if (!number || *number < -60 || *number > 60) return std::nullopt;
  return static_cast<int>(*number);
}

/// Loose files name clefs by sign and line: "G2", "F", "C3".
std::string clef_word(std::string_view value) {
  if (value.empty() || value.size() > 4) return std::string(value);
  const char sign = value.front();
  if (sign != 'G' && sign != 'F' && sign != 'C') return std::string(value);
  const std::string_view name = sign == 'G' ? "treble" : sign == 'F' ? "bass" : "alto";
  return std::string(name) + std::string(value.substr(1));
}

void read_property(std::string_view key, std::string_view value, AbcProperties& properties) {
  if (key == "clef" || key == "cl") properties.clef = clef_named(clef_word(value));
  if (key == "octave") properties.octave = small(value);
  if (key == "transpose" || key == "t") properties.transpose = small(value);
  if (key == "name" || key == "nm") properties.name = unquoted(value);
  if (key == "sname" || key == "snm" || key == "subname") properties.short_name = unquoted(value);
}

}  // namespace

AbcKey abc_key(std::string_view value) {
  AbcKey key;
  std::vector<std::string_view> words = words_of(value);
  if (words.empty()) return key;
  std::string_view first = words.front();
  if (first == "HP" || first == "Hp") {  // Highland pipes: F and C sharp, and G natural
    key.given = true;
    key.signature.fifths = 2;
    set_alters(key);
    return key;
  }
  const bool none = lower(first) == "none";
  const std::size_t step =
      step_letters.find(static_cast<char>(std::toupper(static_cast<unsigned char>(first.front()))));
  const bool tonic = !none && step != std::string_view::npos && !clef_named(first) &&
                     first.find('=') == std::string_view::npos;
  key.given = tonic || none;
  std::size_t word = tonic || none ? 1 : 0;
  if (tonic) {
    SpelledPitch pitch{static_cast<Step>(step), 0, 4};
    std::string_view rest = first.substr(1);
    if (rest.starts_with('#')) pitch.alter = 1;
    if (rest.starts_with('b')) pitch.alter = -1;
    if (pitch.alter != 0) rest.remove_prefix(1);
    const Mode* mode = mode_named(rest);
    if (mode == nullptr && word < words.size()) {
      mode = mode_named(words[word]);
      if (mode != nullptr) ++word;
    }
    if (mode == nullptr) mode = &modes.front();
    key.signature = {std::clamp(line_of_fifths(pitch) + mode->fifths, -7, 7),
                     std::string(mode->name)};
    set_alters(key);
  }
  for (; word < words.size(); ++word) {
    if (lower(words[word]) == "exp") {
      key.signature = {};
      key.alters = {};
    }
    key.given = apply_accidental(words[word], key) || key.given;
  }
  return key;
}

AbcProperties abc_properties(std::string_view value) {
  AbcProperties properties;
  for (const std::string_view word : words_of(value)) {
    const std::size_t equals = word.find('=');
    if (equals != std::string_view::npos && equals > 0) {
      read_property(lower(word.substr(0, equals)), word.substr(equals + 1), properties);
    } else if (!properties.clef) {
      properties.clef = clef_named(word);
    }
  }
  return properties;
}

std::optional<TimeSignature> abc_metre(std::string_view value) {
  TimeSignature time;
  value = trimmed(value);
  if (value == "C") time.common = true;
  if (value == "C|") time = {2, 2, false, true, false};
  if (value == "none" || value.empty()) time.senza_misura = true;
  if (time.common || time.cut || time.senza_misura) return time;
  const std::size_t slash = value.find('/');
  if (slash == std::string_view::npos) return std::nullopt;
  int beats = 0;
  AbcScanner scanner(value.substr(0, slash));
  while (!scanner.at_end()) {
    if (const auto number = scanner.number()) {
      if (*number < 1 || *number > 1000 || beats > 1000) return std::nullopt;
      beats += *number;
      time.groups.push_back(*number);
    } else {
      scanner.next();
    }
  }
  const auto type = whole_number(value.substr(slash + 1));
  const bool power = type && *type > 0 && *type <= 128 && (*type & (*type - 1)) == 0;
  if (!power || beats < 1 || beats > 1000) return std::nullopt;
  if (time.groups.size() < 2) time.groups.clear();
  time.beats = beats;
  time.beat_type = static_cast<int>(*type);
  return time;
}

std::optional<Beats> abc_unit_length(std::string_view value) {
  AbcScanner scanner(trimmed(value));
  const auto numerator = scanner.number();
  if (!numerator || *numerator < 1 || *numerator > 64) return std::nullopt;
  if (scanner.at_end()) return Beats(4 * *numerator);
  if (!scanner.take('/')) return std::nullopt;
  const auto denominator = scanner.number();
  if (!denominator || *denominator < 1 || *denominator > 1024) return std::nullopt;
  return Beats(4 * *numerator, *denominator);
}

Beats default_unit_length(const TimeSignature& time) {
  if (time.senza_misura) return Beats(1, 2);
  return time.bar_length() < Beats(3) ? Beats(1, 4) : Beats(1, 2);
}

AbcTempo abc_tempo(std::string_view value, Beats unit) {
  AbcTempo tempo;
  std::string rest;
  AbcScanner scanner(value);
  while (!scanner.at_end()) {
    if (scanner.take('"')) {
      tempo.words = scanner.until('"');
    } else {
      rest += scanner.next();
    }
  }
  const std::size_t equals = rest.find('=');
  const std::string_view count =
      equals == rest.npos ? std::string_view(rest) : std::string_view(rest).substr(equals + 1);
  const auto number = decimal_number(count);
  if (!number || number->numerator <= 0) return tempo;
  Beats beat = unit;
  if (equals != rest.npos) {
    Beats sum;
    for (const std::string_view word : words_of(std::string_view(rest).substr(0, equals))) {
      if (const auto length = abc_unit_length(word)) sum += *length;
    }
    if (sum > Beats(0) && sum < Beats(64)) beat = sum;
  }
  tempo.mark = Metronome{beat, number->to_double()};
  return tempo;
}

}  // namespace endpin::notation
