#include "fmt/format.h"
#include "fmt/ranges.h"
#include "musicxml_names.h"
#include "part_writer.h"

namespace endpin::notation {
namespace {

std::string ending_text(const Navigation& navigation) {
  return fmt::format("{}", fmt::join(navigation.ending, ", "));
}

}  // namespace

void PartWriter::write_left_barline(const Bar& bar) {
  const Navigation& navigation = bar.navigation;
  if (!navigation.repeat_start && !navigation.ending_starts) return;
  xml_.open("barline", {{"location", "left"}});
  if (navigation.repeat_start) xml_.leaf("bar-style", "heavy-light");
  if (navigation.ending_starts) {
    xml_.empty("ending", {{"number", ending_text(navigation)}, {"type", "start"}});
  }
  if (navigation.repeat_start) xml_.empty("repeat", {{"direction", "forward"}});
  xml_.close();
}

void PartWriter::write_right_barline(const Bar& bar) {
  const Navigation& navigation = bar.navigation;
  const bool ends = !navigation.ending.empty() && navigation.ending_stops;
  if (bar.right == BarLine::regular && !navigation.repeat_end && !ends) return;
  xml_.open("barline", {{"location", "right"}});
  const std::string_view style = name_of(bar_style_names, bar.right);
  if (bar.right != BarLine::regular) xml_.leaf("bar-style", style);
  if (ends) xml_.empty("ending", {{"number", ending_text(navigation)}, {"type", "stop"}});
  if (navigation.repeat_end) {
    const std::string times =
        navigation.repeat_times == 2 ? "" : std::to_string(navigation.repeat_times);
    xml_.empty("repeat", {{"direction", "backward"},
                          {"times", times},
                          {"after-jump", navigation.repeat_after_jump ? "yes" : ""}});
  }
  xml_.close();
}

}  // namespace endpin::notation
