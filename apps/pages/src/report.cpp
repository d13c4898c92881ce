#include "endpin/pages/report.h"

#include <nlohmann/json.hpp>

#include "endpin/engraving/engraving.h"
#include "endpin/media/encode.h"
#include "endpin/notation/write.h"
#include "endpin/pages/fill_page.h"

#include "base64.h"

namespace endpin::app {
namespace {

// Lines of about 100 staff spaces: four bars of quarters and eighths on a laptop's screen.
constexpr double line_width_mm = 175, staff_height_mm = 7;

Result<std::vector<std::string>> engraved_pages(const ScoreInput& input) {
  Score alone = input.score;
  alone.parts = {input.score.parts.at(static_cast<std::size_t>(input.part))};
  EngraveOptions options;
  options.width = line_width_mm;
  options.staff_height = staff_height_mm;
  auto engraving = engrave(write_musicxml(alone), options);
  if (!engraving) return Unexpected(engraving.error());
  return std::move(engraving->pages);
}

}  // namespace

Result<std::string> report_html(const ReportOrder& order) {
  auto pages = engraved_pages(order.score);
  if (!pages) return Unexpected(pages.error());
  auto sound = encode(order.sound, AudioFormat::opus);
  if (!sound) return Unexpected(sound.error());
  const std::string& title =
      order.score.score.title.empty() ? order.score.file : order.score.score.title;
  const nlohmann::ordered_json report{
      {"schema", "endpin.report/1"},
      {"language", tag(order.language)},
      {"title", title},
      {"composer", order.score.score.composer},
      {"recording", order.recording},
      {"date", ""},
      {"sound", "data:audio/ogg;base64," + base64(*sound)},
      {"pages", *pages},
      {"timeline", nlohmann::ordered_json::parse(to_json(order.score.timeline))},
      {"hearing", nlohmann::ordered_json::parse(to_json(order.hearing))}};
  return fill_page("report", {title, std::string(tag(order.language)), report.dump(), ""});
}

}  // namespace endpin::app
