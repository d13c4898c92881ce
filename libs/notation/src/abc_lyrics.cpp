#include "abc_voice.h"

namespace endpin::notation {
namespace {

/// One step through a w: line.
struct Syllable {
  enum Kind { text, hold, skip, next_bar } kind = text;
  std::string letters;
};

/// ABC 2.1, section 5.1: "-" between syllables, "_" holds one, "*" skips a note, "~" is a space
/// inside one, "|" goes to the next bar.
std::vector<Syllable> syllables_of(std::string_view line) {
  std::vector<Syllable> result;
  std::string word;
  const auto flush = [&](bool goes_on) {
    if (word.empty()) {
      if (goes_on && !result.empty()) result.push_back({Syllable::hold, {}});
      return;
    }
    result.push_back({Syllable::text, word + (goes_on ? "-" : "")});
    word.clear();
  };
  for (std::size_t i = 0; i < line.size(); ++i) {
    const char c = line[i];
    if (c == '\\' && i + 1 < line.size() && line[i + 1] == '-') {
      word += line[++i];
    } else if (c == ' ' || c == '\t') {
      flush(false);
    } else if (c == '-') {
      flush(true);
    } else if (c == '_' || c == '*' || c == '|') {
      flush(false);
      result.push_back({c == '_'   ? Syllable::hold
                        : c == '*' ? Syllable::skip
                                   : Syllable::next_bar,
                        {}});
    } else {
      word += c == '~' ? ' ' : c;
    }
  }
  flush(false);
  return result;
}

}  // namespace

void AbcVoice::start_line() { line_notes_.clear(); }

void AbcVoice::lyrics(std::string_view text, int verse) {
  std::size_t next = 0;
  const auto note_at = [&](const Place& place) -> Note& {
    Bar& bar = place.bar < part_.bars.size() ? part_.bars[place.bar] : bar_;
    return bar.notes[place.note];
  };
  for (const Syllable& syllable : syllables_of(text)) {
    if (next >= line_notes_.size()) return;
    if (syllable.kind == Syllable::next_bar) {
      const std::size_t bar = next == 0 ? line_notes_[0].bar : line_notes_[next - 1].bar;
      while (next > 0 && next < line_notes_.size() && line_notes_[next].bar == bar) ++next;
      continue;
    }
    if (syllable.kind == Syllable::text) {
      std::vector<std::string>& lyrics = note_at(line_notes_[next]).lyrics;
      if (static_cast<int>(lyrics.size()) < verse) lyrics.resize(verse);
      lyrics[verse - 1] = syllable.letters;
    }
    ++next;
  }
}

}  // namespace endpin::notation
