#include "endpin/pages/fill_page.h"

#include <cstdlib>
#include <filesystem>
#include <utility>

#include "endpin/app/files.h"

namespace endpin::app {
namespace {

constexpr std::string_view data_place =
    R"(<script type="application/json" id="data">null</script>)";
constexpr std::string_view fallback_place = "<!--without-script-->";

std::filesystem::path built_page(std::string_view name) {
  const char* root = std::getenv("ENDPIN_ROOT");
  const std::filesystem::path web =
      std::filesystem::path(root != nullptr ? root : ENDPIN_SOURCE_DIR) / "web";
  return web / ("dist-" + std::string(name)) / (std::string(name) + ".html");
}

// In JSON "<" can only stand inside a string, where it may be written as a number; then nothing
// looks like the script element's end.
std::string escape_in_script(std::string_view json) {
  std::string safe;
  safe.reserve(json.size() + json.size() / 8);
  for (const char c : json) {
    if (c == '<') {
      safe += "\\u003c";
    } else {
      safe += c;
    }
  }
  return safe;
}

bool replace_first(std::string& text, std::string_view from, std::string_view to) {
  const std::size_t at = text.find(from);
  if (at == std::string::npos) return false;
  text.replace(at, from.size(), to);
  return true;
}

}  // namespace

std::string escape_html(std::string_view text) {
  std::string safe;
  for (const char c : text) {
    switch (c) {
      case '<':
        safe += "&lt;";
        break;
      case '>':
        safe += "&gt;";
        break;
      case '&':
        safe += "&amp;";
        break;
      case '"':
        safe += "&quot;";
        break;
      default:
        safe += c;
    }
  }
  return safe;
}

Result<std::string> fill_page_text(std::string page, const PageData& data) {
  const std::string script =
      R"(<script type="application/json" id="data">)" + escape_in_script(data.json) + "</script>";
  if (!replace_first(page, data_place, script)) {
    return Unexpected(Error{ErrorKind::machine, "page", "", "it has no place for its data",
                            "Build the pages again: npm run build in web/."});
  }
  replace_first(page, fallback_place, data.without_script);
  replace_first(page, "<title>Endpin</title>", "<title>" + escape_html(data.title) + "</title>");
  replace_first(page, R"(<html lang="en">)",
                R"(<html lang=")" + escape_html(data.language) + R"(">)");
  return page;
}

Result<std::string> fill_page(std::string_view name, const PageData& data) {
  auto page = read_file(built_page(name));
  if (!page) {
    return Unexpected(Error{ErrorKind::machine, built_page(name).string(), "",
                            "the page has not been built",
                            "Run ./run once, or npm run build in Endpin's web/."});
  }
  return fill_page_text(std::move(*page), data);
}

}  // namespace endpin::app
