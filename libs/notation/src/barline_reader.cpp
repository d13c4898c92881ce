#include <algorithm>

#include "fmt/format.h"
#include "musicxml_names.h"
#include "part_reader.h"

namespace endpin::notation {
namespace {

constexpr std::int64_t most_passes = 100;  // ours; printed music asks for a dozen at most

/// "1, 2" and "1.-3." as the numbers that they name.
std::vector<int> ending_numbers(std::string_view text) {
  std::vector<int> numbers;
  bool to = false;
  for (std::size_t at = 0; at < text.size();) {
    if (text[at] == '-') to = true;
    if (text[at] < '0' || text[at] > '9') {
      ++at;
      continue;
    }
    const std::size_t end = std::min(text.find_first_not_of("0123456789", at), text.size());
    const auto number = whole_number(text.substr(at, end - at));
    at = end;
    if (!number || *number < 1 || *number > most_passes) continue;
    const int last = static_cast<int>(*number);
    for (int n = to && !numbers.empty() ? numbers.back() + 1 : last; n <= last; ++n) {
      numbers.push_back(n);
    }
    to = false;
  }
  std::sort(numbers.begin(), numbers.end());
  numbers.erase(std::unique(numbers.begin(), numbers.end()), numbers.end());
  return numbers;
}

}  // namespace

Result<void> PartReader::read_barline(pugi::xml_node node) {
  const std::string_view location = attribute_of(node, "location");
  const bool left = location == "left";
  const auto style = value_named(bar_style_names, text_of(node, "bar-style"));
  if (style && location != "left" && location != "middle") bar().right = *style;
  if (const pugi::xml_node ending = node.child("ending")) read_ending(ending);
  if (const pugi::xml_node repeat = node.child("repeat")) {
    if (auto read = read_repeat(repeat, location == "middle"); !read) return read;
  }
  if (node.child("segno") || node.attribute("segno")) bar().navigation.segno = true;
  if (node.child("coda") || node.attribute("coda")) {
    coda_signs_.push_back({part_.bars.size() - 1, left ? Beats(0) : cursor_});
  }
  const bool fermata = !node.child("fermata").empty() && !bar().notes.empty();
  if (fermata && !left) bar().notes.back().fermata = true;
  return {};
}

Result<void> PartReader::read_repeat(pugi::xml_node repeat, bool middle) {
  Navigation& navigation = bar().navigation;
  const bool forward = attribute_of(repeat, "direction") == "forward";
  if (middle) splits_.push_back({part_.bars.size() - 1, cursor_, forward});
  if (forward) {
    if (!middle) navigation.repeat_start = true;
    return {};
  }
  if (const auto times = repeat.attribute("times")) {
    const auto number = whole_number(times.value());
    if (!number || *number < 1 || *number > most_passes) {
      return state_.messages.error(line(repeat),
                                   fmt::format("bar {} is to be played \"{}\" times", bar().number,
                                               std::string_view(times.value()).substr(0, 20)),
                                   fmt::format("Correct <repeat times>: 1 to {}.", most_passes));
    }
    navigation.repeat_times = static_cast<int>(*number);
  }
  navigation.repeat_after_jump = attribute_of(repeat, "after-jump") == "yes";
  if (!middle) navigation.repeat_end = true;
  return {};
}

void PartReader::read_ending(pugi::xml_node ending) {
  const std::string_view type = attribute_of(ending, "type");
  if (type == "start") {
    std::vector<int> numbers = ending_numbers(attribute_of(ending, "number"));
    if (numbers.empty()) numbers = ending_numbers(text_of(ending));
    // Without a number it is the one after the last.
    if (numbers.empty()) numbers.push_back(ending_.empty() ? last_ending_ + 1 : ending_.back() + 1);
    ending_ = std::move(numbers);
    bar().navigation.ending_starts = true;
  } else {
    ending_stops_here_ = true;
  }
}

/// Marks the bar that has just been read with the ending that is open.
void PartReader::end_bar_under_ending() {
  Navigation& navigation = bar().navigation;
  navigation.ending = ending_;
  if (ending_.empty()) {
    last_ending_ = 0;
    return;
  }
  // An ending that nobody closes is over with its repeat, or with the music's final line.
  const bool over = navigation.repeat_end || bar().right == BarLine::final_line;
  if (!ending_stops_here_ && !over) return;
  navigation.ending_stops = true;
  last_ending_ = ending_.back();
  ending_.clear();
}

}  // namespace endpin::notation
