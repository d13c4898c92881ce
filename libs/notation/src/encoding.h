#pragma once

#include <string>
#include <string_view>

namespace endpin::notation {

/// Text as UTF-8 without a byte order mark, from UTF-8, UTF-16 (either order, with a mark or
/// recognised by its first characters) or, where it is no UTF-8, Latin-1. Lone surrogates become
/// U+FFFD; line ends stay as they are.
std::string to_utf8(std::string_view bytes);
bool is_utf8(std::string_view bytes);
void append_utf8(std::string& text, char32_t character);

}  // namespace endpin::notation
