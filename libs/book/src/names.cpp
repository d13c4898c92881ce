#include <array>

#include <sys/random.h>

#include "endpin/book/takes.h"
#include "endpin/book/upload.h"

namespace endpin::book {
namespace {

constexpr std::array<std::string_view, 5> state_names{"unassigned", "queued", "hearing", "heard",
                                                      "failed"};

bool is_alphanumeric(char c) { return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9'); }
char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

// The longest beginning of at most `limit` bytes that does not cut a UTF-8 character.
std::string_view cut(std::string_view text, std::size_t limit) {
  if (text.size() <= limit) return text;
  while (limit > 0 && (static_cast<unsigned char>(text[limit]) & 0xC0) == 0x80) --limit;
  return text.substr(0, limit);
}

}  // namespace

std::string_view name(TakeState state) { return state_names[static_cast<std::size_t>(state)]; }

std::optional<TakeState> take_state(std::string_view wanted) {
  for (std::size_t i = 0; i < state_names.size(); ++i) {
    if (state_names[i] == wanted) return static_cast<TakeState>(i);
  }
  return std::nullopt;
}

std::string random_hex(int bytes) {
  std::string text;
  for (int i = 0; i < bytes; ++i) {
    unsigned char byte = 0;
    while (getrandom(&byte, 1, 0) != 1) {
    }
    text += "0123456789abcdef"[byte >> 4];
    text += "0123456789abcdef"[byte & 15];
  }
  return text;
}

std::string plain_file_name(std::string_view path) {
  const std::size_t slash = path.find_last_of("/\\");
  if (slash != std::string_view::npos) path.remove_prefix(slash + 1);
  std::string plain;
  for (const char c : path) {
    const auto code = static_cast<unsigned char>(c);
    if (code >= 0x20 && code != 0x7f) plain += c;
  }
  plain = cut(plain, 200);
  return plain.empty() || plain == "." || plain == ".." ? "file" : plain;
}

std::string plain_extension(std::string_view path) {
  const std::size_t dot = path.find_last_of('.');
  if (dot == std::string_view::npos) return {};
  std::string extension = ".";
  for (const char c : path.substr(dot + 1)) {
    if (!is_alphanumeric(lower(c)) || extension.size() > 12) return {};
    extension += lower(c);
  }
  return extension.size() > 1 ? extension : "";
}

}  // namespace endpin::book
