#include "endpin/pages/take_home.h"

#include <cstdlib>
#include <filesystem>

#include <nlohmann/json.hpp>

#include "endpin/app/files.h"
#include "endpin/media/encode.h"
#include "endpin/pages/fill_page.h"

#include "base64.h"

namespace endpin::app {
namespace {

using nlohmann::ordered_json;

// The engraver's style element would be refused by the page's content security policy; the page's
// own styles say the same.
std::string without_styles(std::string svg) {
  for (;;) {
    const std::size_t from = svg.find("<style");
    if (from == std::string::npos) return svg;
    const std::size_t to = svg.find("</style>", from);
    if (to == std::string::npos) return svg;
    svg.erase(from, to + 8 - from);
  }
}

// SVG inside HTML has no XML declaration.
std::string inside_html(const std::string& document) {
  const std::size_t from = document.find("<svg");
  return from == std::string::npos ? std::string() : without_styles(document.substr(from));
}

std::string figure(const TakeHomePicture& picture, std::string_view shape) {
  const auto& pages = shape == "wide" ? picture.wide : picture.narrow;
  if (pages.empty()) return {};
  std::string html = R"(<figure class="engraved" data-picture=")" + escape_html(picture.key) +
                     R"(" data-shape=")" + std::string(shape) + '"';
  if (shape == "narrow" && !picture.wide.empty()) html += " data-twin";
  html += '>';
  for (const std::string& page : pages) html += inside_html(page);
  return html + "</figure>";
}

template <typename T>
ordered_json or_null(const std::optional<T>& value) {
  return value ? ordered_json(*value) : ordered_json(nullptr);
}

}  // namespace

std::vector<std::string> usual_kinds_to_say() { return {"short-held", "restart"}; }

std::string built_core() {
  const char* root = std::getenv("ENDPIN_ROOT");
  const auto file = std::filesystem::path(root != nullptr ? root : ENDPIN_SOURCE_DIR) / "build" /
                    "wasm" / "wasm" / "endpin-listen.wasm";
  auto bytes = read_file(file);
  return bytes ? std::move(*bytes) : std::string();
}

Result<std::string> take_home_html(const TakeHomeOrder& order) {
  ordered_json data{{"schema", "endpin.take-home/1"},
                    {"lesson_id", or_null(order.lesson_id)},
                    {"student_token", or_null(order.student_token)},
                    {"piece_sha256", order.piece_sha256},
                    {"lesson", ordered_json::parse(order.lesson_json)},
                    {"bank", nullptr},
                    {"sound", nullptr},
                    {"core", nullptr},
                    {"may_say", order.may_say}};
  if (order.bank != nullptr) {
    auto sound = encode(order.bank->audio, AudioFormat::flac);
    if (!sound) return Unexpected(sound.error());
    data["bank"] = ordered_json::parse(bank_to_json(*order.bank));
    data["sound"] = "data:audio/flac;base64," + base64(*sound);
  }
  if (!order.core.empty()) data["core"] = "data:application/wasm;base64," + base64(order.core);
  std::string before = order.without_script;
  for (const TakeHomePicture& picture : order.pictures) {
    before += figure(picture, "wide") + figure(picture, "narrow");
  }
  return fill_page("take-home", {order.title, order.language, data.dump(), before});
}

Result<std::string> addressed_take_home(std::string page, const std::string& lesson_id,
                                        const std::string& student_token) {
  // The page's own text: JSON without blanks, its members in the order written above.
  constexpr std::string_view nobody =
      R"({"schema":"endpin.take-home/1","lesson_id":null,"student_token":null,)";
  const std::size_t at = page.find(nobody);
  if (at == std::string::npos) {
    return Unexpected(Error{ErrorKind::machine, "take-home.html", "",
                            "it is not a page that can be given to one student",
                            "Make the lesson again."});
  }
  std::string whose = R"({"schema":"endpin.take-home/1","lesson_id":)";
  whose += ordered_json(lesson_id).dump() + R"(,"student_token":)";
  whose += ordered_json(student_token).dump() + ',';
  page.replace(at, nobody.size(), whose);
  return page;
}

}  // namespace endpin::app
