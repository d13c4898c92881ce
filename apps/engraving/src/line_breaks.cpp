#include "endpin/engraving/line_breaks.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>
#include <vector>

namespace endpin::app {
namespace {

// Staff spaces, measured on the engraver's own pages.
constexpr double clef_width = 4, accidental_width = 1.1, time_width = 3;
constexpr double bar_line_width = 1.6;
// The estimates are roomy: a line may be set so much tighter before it looks crowded.
constexpr double most_fill = 1.15;

double note_width(Beats duration) { return 2.2 + 2.3 * std::pow(duration.to_double(), 0.6); }

double signature_width(const KeySignature& key) {
  return clef_width + accidental_width * std::abs(key.fifths);
}

// What is lost on a line: room left over, a phrase cut, and each line itself a little.
double line_cost(double fill, bool last, std::size_t bars_before_next) {
  double cost = 0.05;
  if (fill > 1) cost += 4 * (fill - 1);
  if (fill > most_fill) cost += 1;
  const double room = std::max(0.0, 1 - fill);
  cost += room * room * (last ? 0.6 : 1);
  if (!last && bars_before_next % 4 != 0) cost += bars_before_next % 2 == 0 ? 0.06 : 0.12;
  return cost;
}

}  // namespace

double natural_width(const Bar& bar) {
  std::set<Beats> places;
  for (const Note& note : bar.notes) places.insert(note.onset);
  places.insert(bar.length);
  double width = bar_line_width;
  for (auto at = places.begin(); std::next(at) != places.end(); ++at) {
    width += note_width(*std::next(at) - *at);
  }
  for (const Note& note : bar.notes) {
    if (note.grace) width += 1.6;
    if (!note.is_rest() && note.pitch.alter != 0) width += 0.3;
  }
  return width;
}

double natural_width(const Part& part) {
  double width = part.bars.empty() ? 0 : signature_width(contexts(part).front().key) + time_width;
  for (const Bar& bar : part.bars) width += natural_width(bar);
  return width;
}

void set_line_breaks(Part& part, double line) {
  const std::size_t count = part.bars.size();
  if (count == 0) return;
  const std::vector<Context> context = contexts(part);
  // Bars are counted from the first full one, so that a pickup does not shift the phrases.
  const std::size_t pickup = part.bars.front().implicit ? 1 : 0;
  std::vector<double> least(count + 1, std::numeric_limits<double>::infinity());
  std::vector<std::size_t> from(count + 1, 0);
  least[0] = 0;
  for (std::size_t begin = 0; begin < count; ++begin) {
    double width = signature_width(context[begin].key) + (begin == 0 ? time_width : 0);
    for (std::size_t end = begin + 1; end <= count; ++end) {
      width += natural_width(part.bars[end - 1]);
      if (width > 1.4 * line && end > begin + 1) break;
      const double cost = least[begin] + line_cost(width / line, end == count, end - pickup);
      if (cost < least[end]) {
        least[end] = cost;
        from[end] = begin;
      }
    }
  }
  for (Bar& bar : part.bars) bar.new_system = false;
  for (std::size_t at = from[count]; at > 0; at = from[at]) part.bars[at].new_system = true;
}

}  // namespace endpin::app
