#include "sheet_fonts.h"

#include <array>
#include <cstdint>
#include <string_view>
#include <utility>

#include <fmt/core.h>

#include "endpin/app/files.h"

#include "installation.h"

namespace endpin::app {
namespace {

struct Face {
  std::string_view family, style;
  int weight;
  std::string_view file;
};

// Static cuts: a variable font would reach the PDF as drawings of its letters.
constexpr std::array<Face, 4> faces{{
    {"Alegreya", "normal", 600, "alegreya/files/alegreya-latin-600-normal.woff2"},
    {"Alegreya", "italic", 400, "alegreya/files/alegreya-latin-400-italic.woff2"},
    {"Alegreya Sans", "normal", 400, "alegreya-sans/files/alegreya-sans-latin-400-normal.woff2"},
    {"Alegreya Sans", "normal", 700, "alegreya-sans/files/alegreya-sans-latin-700-normal.woff2"},
}};

std::string base64(std::string_view bytes) {
  constexpr std::string_view digits =
      "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string text;
  text.reserve((bytes.size() + 2) / 3 * 4);
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    std::uint32_t group = 0;
    for (std::size_t k = 0; k < 3; ++k) {
      const bool inside = i + k < bytes.size();
      group = group << 8 | (inside ? static_cast<unsigned char>(bytes[i + k]) : 0u);
    }
    for (int k = 3; k >= 0; --k) text += digits[group >> (6 * k) & 63u];
    if (i + 1 >= bytes.size()) text[text.size() - 2] = '=';
    if (i + 2 >= bytes.size()) text.back() = '=';
  }
  return text;
}

}  // namespace

Result<std::string> embedded_fonts() {
  std::string rules;
  for (const Face& face : faces) {
    const auto path = web_folder() / "node_modules/@fontsource" / face.file;
    const auto bytes = read_file(path);
    if (!bytes) {
      return Unexpected(Error{ErrorKind::machine, path.string(), "", "this font is not installed",
                              "Run ./run once, which installs what is needed."});
    }
    rules += fmt::format(
        "@font-face{{font-family:\"{}\";font-style:{};font-weight:{};"
        "src:url(data:font/woff2;base64,{}) format(\"woff2\")}}\n",
        face.family, face.style, face.weight, base64(*bytes));
  }
  return rules;
}

}  // namespace endpin::app
