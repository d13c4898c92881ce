#include "abc_file.h"

#include <cctype>
#include <string>

#include "fmt/format.h"
#include "numbers.h"

namespace endpin::notation {
namespace {

std::size_t indent(std::string_view line) {
  return std::min(line.find_first_not_of(" \t"), line.size());
}

std::string_view without_comment(std::string_view line) {
  if (line.starts_with("%%")) return trimmed(line);
  for (std::size_t i = 0; i < line.size(); ++i) {
    const bool escaped = i > 0 && line[i - 1] == '\\';
    if (line[i] == '%' && !escaped) {
      line = line.substr(0, i);
      break;
    }
  }
  const std::size_t last = line.find_last_not_of(" \t\r");
  return last == std::string_view::npos ? std::string_view() : line.substr(0, last + 1);
}

std::vector<AbcLine> lines_of(std::string_view text, int first = 1) {
  std::vector<AbcLine> lines;
  std::size_t at = 0;
  for (int number = first; at < text.size(); ++number) {
    const std::size_t end = std::min(text.find_first_of("\r\n", at), text.size());
    lines.push_back({number, text.substr(at, end - at)});
    at = end + (text.substr(end).starts_with("\r\n") ? 2 : 1);
  }
  return lines;
}

bool is_blank(std::string_view line) { return trimmed(line).empty(); }

/// A line of notes and bar lines after an empty one: loose files have empty lines between systems.
bool looks_like_music(std::string_view line) {
  if (line.find('|') == std::string_view::npos) return false;
  int outside = 0;
  bool quoted = false;
  for (const char c : line) {
    if (c == '"' || c == '!') quoted = !quoted;
    const bool letter = std::isalpha(static_cast<unsigned char>(c)) != 0;
    if (!quoted && letter &&
        std::string_view("ABCDEFGabcdefgzxZuvTHLMOPSKV").find(c) == std::string_view::npos) {
      ++outside;
    }
  }
  return outside == 0;
}

/// Where a tune begins.
struct Beginning {
  std::size_t at = 0;
  int line = 1;
  std::optional<int> number;
};

/// The beginnings up to the one after the tune that is wanted, found by the ends of lines alone, so
/// that a tune late in a large file is as quick as a copy of the file.
std::vector<Beginning> beginnings(std::string_view text, std::optional<int> wanted) {
  const char line_end = text.find('\n') != std::string_view::npos ? '\n' : '\r';
  std::vector<Beginning> found;
  bool enough = false;
  int line = 1;
  for (std::size_t at = 0; at < text.size() && !enough; ++line) {
    const std::size_t end = std::min(text.find(line_end, at), text.size());
    const std::size_t first = at + indent(text.substr(at, end - at));
    const auto field =
        first < end && text[first] == 'X' ? abc_field(text.substr(at, end - at)) : std::nullopt;
    if (field && field->letter == 'X') {
      enough = !found.empty() && (!wanted || found.back().number == wanted);
      const auto number = whole_number(field->value.substr(0, field->value.find(' ')));
      found.push_back({at, line, std::nullopt});
      if (number) found.back().number = static_cast<int>(*number);
    }
    at = end + 1;
  }
  return found;
}

/// Whether a line stands in a block of text or of a typesetter's code, from %%begin… to %%end….
class Block {
 public:
  bool holds(std::string_view line) {
    if (line.starts_with("%%begin")) inside_ = true;
    if (!line.starts_with("%%end")) return inside_;
    inside_ = false;
    return true;
  }

 private:
  bool inside_ = false;
};

/// The lines of `text` that say something, without their comments.
std::vector<AbcLine> plain_lines(std::string_view text, int first) {
  std::vector<AbcLine> lines;
  Block block;
  for (AbcLine line : lines_of(text, first)) {
    if (block.holds(line.text)) continue;
    line.text = without_comment(line.text);
    if (!line.text.empty()) lines.push_back(line);
  }
  return lines;
}

/// A tune ends with an empty line, but for those that stand between its systems.
std::vector<AbcLine> tune_lines(std::string_view text, int first) {
  std::vector<AbcLine> lines;
  bool in_body = false;
  bool after_blank = false;
  Block block;
  for (AbcLine line : lines_of(text, first)) {
    if (block.holds(line.text)) continue;
    if (is_blank(line.text)) {
      after_blank = in_body;
      continue;
    }
    line.text = without_comment(line.text);
    const auto field = abc_field(line.text);
    if (line.text.empty() || (field && field->letter == 'X')) continue;
    if (after_blank && !looks_like_music(line.text)) continue;
    after_blank = false;
    in_body = in_body || (field && field->letter == 'K');
    lines.push_back(line);
  }
  return lines;
}

Unexpected no_such_tune(const std::vector<Beginning>& tunes, int wanted, const Messages& messages) {
  std::string there;
  constexpr std::size_t most_named = 12;
  for (std::size_t i = 0; i < tunes.size() && i < most_named; ++i) {
    if (!tunes[i].number) continue;
    there += fmt::format("{}{}", there.empty() ? "" : ", ", *tunes[i].number);
  }
  if (tunes.size() > most_named) there += ", …";
  return messages.error(
      0, fmt::format("there is no tune X:{}", wanted),
      there.empty() ? "No tune in it has a number." : fmt::format("The tunes are: {}.", there));
}

}  // namespace

std::optional<AbcField> abc_field(std::string_view line) {
  line.remove_prefix(indent(line));  // of files that were pasted from a page
  if (line.size() < 2 || line[1] != ':') return std::nullopt;
  const bool letter = std::isalpha(static_cast<unsigned char>(line[0])) != 0 || line[0] == '+';
  if (!letter) return std::nullopt;
  // "|:" is music and so is "A:|", a note before a repeat sign.
  if (line.size() > 2 && (line[2] == '|' || line[2] == ':')) return std::nullopt;
  return AbcField{line[0], trimmed(without_comment(line.substr(2)))};
}

bool looks_like_abc(std::string_view text) {
  if (text.starts_with("%abc")) return true;
  bool key = false;
  for (const AbcLine& line : lines_of(text)) {
    for (const char c : line.text) {
      if (static_cast<unsigned char>(c) < 0x20 && c != '\t') return false;
    }
    const auto field = abc_field(line.text);
    if (field && field->letter == 'X' && whole_number(field->value.substr(0, 1))) return true;
    if (key && looks_like_music(line.text)) return true;
    key = key || (field && field->letter == 'K');
  }
  return false;
}

Result<AbcTune> find_tune(std::string_view text, std::optional<int> wanted,
                          const Messages& messages) {
  const std::vector<Beginning> tunes = beginnings(text, wanted);
  // A tune without X: is a fragment (ABC 2.1, section 2.3.1).
  if (tunes.empty()) return AbcTune{std::nullopt, 1, plain_lines(text, 1)};
  for (std::size_t i = 0; i < tunes.size(); ++i) {
    const Beginning& tune = tunes[i];
    if (wanted && tune.number != wanted) continue;
    const std::size_t end = i + 1 < tunes.size() ? tunes[i + 1].at : text.size();
    AbcTune found{tune.number, tune.line, plain_lines(text.substr(0, tunes.front().at), 1)};
    const auto lines = tune_lines(text.substr(tune.at, end - tune.at), tune.line);
    found.lines.insert(found.lines.end(), lines.begin(), lines.end());
    return found;
  }
  return no_such_tune(tunes, *wanted, messages);
}

}  // namespace endpin::notation
