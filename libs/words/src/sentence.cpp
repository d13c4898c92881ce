#include "endpin/words/sentence.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>

#include "endpin/words/note_names.h"

namespace endpin {
namespace {

std::vector<std::string> split(std::string_view text, char separator) {
  std::vector<std::string> items;
  while (true) {
    const std::size_t end = text.find(separator);
    items.emplace_back(text.substr(0, end));
    if (end == std::string_view::npos) return items;
    text.remove_prefix(end + 1);
  }
}

std::string pitch_word(const std::string& text, bool small, Language language) {
  const bool has_octave = !text.empty() && text.back() >= '0' && text.back() <= '9';
  const auto pitch = SpelledPitch::parse(has_octave ? text : text + "4");
  if (!pitch) return text;
  std::string name =
      has_octave ? note_name_with_octave(*pitch, language) : note_name(*pitch, language);
  if (small && name[0] >= 'A' && name[0] <= 'Z') name[0] = static_cast<char>(name[0] - 'A' + 'a');
  return name;
}

bool follows(const std::string& a, const std::string& b) {
  char* end_a = nullptr;
  char* end_b = nullptr;
  const long first = std::strtol(a.c_str(), &end_a, 10);
  const long second = std::strtol(b.c_str(), &end_b, 10);
  return *end_a == 0 && *end_b == 0 && !a.empty() && !b.empty() && second == first + 1;
}

// Three or more bars in a row become "3–5".
std::vector<std::string> runs(const std::vector<std::string>& bars) {
  std::vector<std::string> result;
  for (std::size_t i = 0; i < bars.size();) {
    std::size_t end = i;
    while (end + 1 < bars.size() && follows(bars[end], bars[end + 1])) ++end;
    if (end >= i + 2) {
      result.push_back(bars[i] + "–" + bars[end]);
      i = end + 1;
    } else {
      result.push_back(bars[i++]);
    }
  }
  return result;
}

std::string bars_word(const std::string& text, Language language) {
  const std::vector<std::string> bars = split(text, ',');
  const std::string word = say(bars.size() == 1 ? "word.bar" : "word.bars", language);
  return word + " " + join_list(runs(bars), language);
}

std::string terms_word(const std::string& text, Language language) {
  std::vector<std::string> items;
  for (const std::string& key : split(text, ',')) items.push_back(say(key, language));
  return join_list(items, language);
}

// The decimal point as the language writes it.
std::string number_word(std::string text, Language language) {
  const bool english = language == Language::en_us || language == Language::en_gb;
  if (!english) std::replace(text.begin(), text.end(), '.', ',');
  return text;
}

std::string rendered(const std::string& value, std::string_view kind, Language language) {
  if (kind.empty()) return value;
  if (kind == "pitch") return pitch_word(value, false, language);
  if (kind == "pitch-small") return pitch_word(value, true, language);
  if (kind == "term") return say(value, language);
  if (kind == "terms") return terms_word(value, language);
  if (kind == "list") return join_list(split(value, ','), language);
  if (kind == "bars") return bars_word(value, language);
  if (kind == "number") return number_word(value, language);
  return "[" + std::string(kind) + "]";
}

// `place` is what stood between the braces.
std::string filled(std::string_view place, const Sentence& sentence, Language language) {
  const std::size_t mark = place.find_first_of(":?");
  const std::string name(place.substr(0, mark));
  const auto found = sentence.args.find(name);
  if (found == sentence.args.end()) return "[" + name + "]";
  if (mark == std::string_view::npos) return found->second;
  const std::string_view rest = place.substr(mark + 1);
  if (place[mark] == ':') return rendered(found->second, rest, language);
  const std::size_t bar = rest.find('|');
  if (found->second == "1" || bar == std::string_view::npos)
    return std::string(rest.substr(0, bar));
  return std::string(rest.substr(bar + 1));
}

}  // namespace

std::string say(const Sentence& sentence, Language language) {
  std::string_view text = catalogue_text(sentence.key, language);
  if (text.empty()) return "[" + sentence.key + "]";
  std::string result;
  while (true) {
    const std::size_t open = text.find('{');
    result += text.substr(0, open);
    if (open == std::string_view::npos) return result;
    const std::size_t close = text.find('}', open);
    result += filled(text.substr(open + 1, close - open - 1), sentence, language);
    if (close == std::string_view::npos) return result;
    text.remove_prefix(close + 1);
  }
}

std::string say_line(const Sentence& sentence, Language language) {
  std::string text = say(sentence, language);
  // All languages write the word of a bar, and what else may stand first, in ASCII.
  if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') text[0] = static_cast<char>(text[0] - 32);
  return text;
}

std::string say(std::string_view key, Language language) {
  return say(Sentence{std::string(key), {}}, language);
}

std::string join_list(const std::vector<std::string>& items, Language language) {
  std::string result;
  for (std::size_t i = 0; i < items.size(); ++i) {
    if (i > 0) result += i + 1 < items.size() ? ", " : " " + say("word.and", language) + " ";
    result += items[i];
  }
  return result;
}

std::string argument(double value, int digits) {
  char buffer[64];
  std::snprintf(buffer, sizeof buffer, "%.*f", digits, value);
  std::string text(buffer);
  if (text.find('.') == std::string::npos) return text;
  while (text.back() == '0') text.pop_back();
  if (text.back() == '.') text.pop_back();
  return text;
}

std::string argument(int value) { return std::to_string(value); }

std::string argument(const std::vector<std::string>& items) {
  std::string result;
  for (const std::string& item : items) result += (result.empty() ? "" : ",") + item;
  return result;
}

}  // namespace endpin
