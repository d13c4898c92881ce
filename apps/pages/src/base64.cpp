#include "base64.h"

namespace endpin::app {

std::string base64(std::string_view bytes) {
  constexpr std::string_view letters =
      "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  const auto byte = [&](std::size_t i) {
    return i < bytes.size() ? static_cast<unsigned char>(bytes[i]) : 0u;
  };
  std::string text;
  text.reserve((bytes.size() + 2) / 3 * 4);
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    const unsigned group = byte(i) << 16 | byte(i + 1) << 8 | byte(i + 2);
    text += letters[group >> 18];
    text += letters[group >> 12 & 63];
    text += i + 1 < bytes.size() ? letters[group >> 6 & 63] : '=';
    text += i + 2 < bytes.size() ? letters[group & 63] : '=';
  }
  return text;
}

}  // namespace endpin::app
