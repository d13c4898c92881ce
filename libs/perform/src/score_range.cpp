#include "score_range.h"

#include <algorithm>

namespace endpin {
namespace {

Unexpected refuse(std::string place, std::string what, std::string remedy) {
  return Unexpected({ErrorKind::input, {}, std::move(place), std::move(what), std::move(remedy)});
}

std::string bars_there_are(const Timeline& timeline) {
  return "This part has bars " + timeline.bars.front().number + " to " +
         timeline.bars.back().number + ".";
}

// The first bar called `number` at or after `from`; bars.size() if there is none.
std::size_t find_bar(const Timeline& timeline, const std::string& number, std::size_t from) {
  std::size_t i = from;
  while (i < timeline.bars.size() && timeline.bars[i].number != number) ++i;
  return i;
}

}  // namespace

Result<ScoreRange> score_range(const Timeline& timeline, const std::string& first,
                               const std::string& last) {
  if (timeline.bars.empty() || timeline.notes.empty()) {
    return refuse({}, "there is nothing to play in this part", "Choose another --part.");
  }
  ScoreRange range;
  if (!first.empty()) range.first_bar = find_bar(timeline, first, 0);
  if (range.first_bar == timeline.bars.size()) {
    return refuse("bar " + first, "there is no such bar", bars_there_are(timeline));
  }
  range.last_bar =
      last.empty() ? timeline.bars.size() - 1 : find_bar(timeline, last, range.first_bar);
  if (range.last_bar == timeline.bars.size()) {
    const bool exists = find_bar(timeline, last, 0) < timeline.bars.size();
    return refuse(
        "bar " + last, exists ? "it comes before bar " + first : "there is no such bar",
        exists ? "Give the bars in the order in which they are played." : bars_there_are(timeline));
  }
  range.start = timeline.bars[range.first_bar].start;
  range.end = timeline.bars[range.last_bar].start + timeline.bars[range.last_bar].length;
  if (range.last_bar + 1 == timeline.bars.size()) range.end = timeline.end();
  const auto begins_before = [](const TimelineNote& note, Beats at) { return note.onset < at; };
  const auto from =
      std::lower_bound(timeline.notes.begin(), timeline.notes.end(), range.start, begins_before);
  const auto to = std::lower_bound(from, timeline.notes.end(), range.end, begins_before);
  if (from == to) {
    return refuse("bars " + first + "-" + last, "no note begins in these bars",
                  "Choose bars with notes.");
  }
  range.first_note = static_cast<int>(from - timeline.notes.begin());
  range.last_note = static_cast<int>(to - timeline.notes.begin()) - 1;
  return range;
}

}  // namespace endpin
