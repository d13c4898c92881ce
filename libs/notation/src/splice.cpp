#include "splice.h"

#include <algorithm>

namespace endpin::notation {
namespace {

/// One past the markup that starts with '<' at `at`: a tag, comment, CDATA or instruction.
std::size_t markup_end(std::string_view xml, std::size_t at) {
  const std::string_view rest = xml.substr(at);
  const auto past = [&](std::string_view closing) {
    const std::size_t found = rest.find(closing);
    return found == std::string_view::npos ? xml.size() : at + found + closing.size();
  };
  if (rest.starts_with("<!--")) return past("-->");
  if (rest.starts_with("<![CDATA[")) return past("]]>");
  if (rest.starts_with("<?")) return past("?>");
  char quote = 0;
  for (std::size_t i = at; i < xml.size(); ++i) {
    const char c = xml[i];
    if (quote != 0) {
      if (c == quote) quote = 0;
    } else if (c == '"' || c == '\'') {
      quote = c;
    } else if (c == '>') {
      return i + 1;
    }
  }
  return xml.size();
}

/// How much deeper the markup at [at, end) leads: +1, 0 or -1.
int depth_change(std::string_view xml, std::size_t at, std::size_t end) {
  const char second = at + 1 < xml.size() ? xml[at + 1] : '>';
  if (second == '!' || second == '?') return 0;
  if (second == '/') return -1;
  return xml[end - 2] == '/' ? 0 : 1;
}

}  // namespace

std::string Splice::apply() {
  std::stable_sort(edits_.begin(), edits_.end(),
                   [](const Edit& a, const Edit& b) { return a.at < b.at; });
  std::string result;
  result.reserve(text_.size() + 64 * edits_.size());
  std::size_t done = 0;
  for (const Edit& edit : edits_) {
    if (edit.at > done) result += text_.substr(done, edit.at - done);
    result += edit.text;
    done = std::max(done, edit.at + edit.length);
  }
  result += text_.substr(done);
  return result;
}

std::size_t element_end(std::string_view xml, std::size_t start) {
  int depth = 0;
  std::size_t at = start;
  while (at < xml.size()) {
    const std::size_t end = markup_end(xml, at);
    depth += depth_change(xml, at, end);
    if (depth <= 0) return end;
    at = xml.find('<', end);
    if (at == std::string_view::npos) return xml.size();
  }
  return xml.size();
}

}  // namespace endpin::notation
