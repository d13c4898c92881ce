#include "endpin/technique/bowing.h"

#include <algorithm>
#include <array>
#include <limits>

namespace endpin {
namespace {

constexpr double never = std::numeric_limits<double>::infinity();
constexpr std::array<Bow, 2> both{Bow::down, Bow::up};
constexpr std::array<StrokeLink, 3> links{StrokeLink::alternate, StrokeLink::retake,
                                          StrokeLink::hook};

Bow other(Bow bow) { return bow == Bow::down ? Bow::up : Bow::down; }

double own_cost(std::span<const StrokePlace> strokes, std::size_t i, Bow bow,
                const BowingCosts& costs) {
  const StrokePlace& s = strokes[i];
  if (s.fixed && *s.fixed != bow) return never;
  if (s.plucked) return 0;
  double cost = 0;
  if (bow == Bow::up) {
    if (s.downbeat) cost += costs.downbeat_up + (s.section_start ? costs.first_up : 0);
    if (s.strong_beat) cost += costs.strong_beat_up;
    if (i + 1 == strokes.size()) cost += costs.last_up;
  } else if (s.pickup) {
    cost += costs.pickup_down;
  }
  return cost;
}

double retake_cost(const StrokePlace& to, const BowingCosts& costs) {
  if (to.plucked || to.rest_before >= Seconds(0.5)) return costs.retake_free;
  if (to.breath_before) return costs.retake_breath;
  if (to.rest_before > Seconds(0)) return costs.retake_short_rest;
  return costs.retake_no_rest;
}

// The short note of a dotted rhythm is hooked to the long one: half as long or shorter, no rest
// between, both strokes of one note.
bool long_short(const StrokePlace& from, const StrokePlace& to) {
  return from.single && to.single && to.rest_before == Seconds(0) && !to.downbeat &&
         Beats(2) * to.duration < from.duration;
}

struct Reached {
  double cost = never;
  int from = -1;  // direction before
  StrokeLink link = StrokeLink::first;
};
using Column = std::array<Reached, 2>;

Column step(const Column& before, std::span<const StrokePlace> strokes, std::size_t i,
            const BowingCosts& costs) {
  Column column;
  for (std::size_t to = 0; to < 2; ++to) {
    const double own = own_cost(strokes, i, both[to], costs);
    if (own == never) continue;
    for (const StrokeLink link : links) {
      const std::size_t from = link == StrokeLink::alternate ? 1 - to : to;
      const double cost =
          before[from].cost + own + link_cost(strokes[i - 1], strokes[i], link, costs);
      if (cost < column[to].cost) column[to] = {cost, static_cast<int>(from), link};
    }
  }
  return column;
}

}  // namespace

double link_cost(const StrokePlace& from, const StrokePlace& to, StrokeLink link,
                 const BowingCosts& costs) {
  switch (link) {
    case StrokeLink::alternate:
      return 0;
    case StrokeLink::retake:
      return retake_cost(to, costs);
    case StrokeLink::hook:
      if (from.plucked || to.plucked || to.rest_before > Seconds(0)) return never;
      return long_short(from, to) ? costs.hook : costs.hook_other;
    case StrokeLink::first:
      break;
  }
  return never;
}

Bowing bow(std::span<const StrokePlace> strokes, const BowingCosts& costs) {
  Bowing result;
  if (strokes.empty()) return result;
  std::vector<Column> columns(strokes.size());
  for (std::size_t d = 0; d < 2; ++d) columns[0][d].cost = own_cost(strokes, 0, both[d], costs);
  for (std::size_t i = 1; i < strokes.size(); ++i) {
    columns[i] = step(columns[i - 1], strokes, i, costs);
  }
  result.strokes.resize(strokes.size());
  std::size_t at = columns.back()[1].cost < columns.back()[0].cost ? 1 : 0;
  result.cost = columns.back()[at].cost;
  for (std::size_t i = strokes.size(); i-- > 0;) {
    result.strokes[i] = {both[at], columns[i][at].link};
    if (i > 0) at = static_cast<std::size_t>(columns[i][at].from);
  }
  return result;
}

std::optional<double> bowing_cost(std::span<const StrokePlace> strokes, const BowingCosts& costs,
                                  std::span<const BowedStroke> choice) {
  double sum = 0;
  for (std::size_t i = 0; i < choice.size(); ++i) {
    sum += own_cost(strokes, i, choice[i].bow, costs);
    if (i == 0) continue;
    const bool turns = choice[i].link == StrokeLink::alternate;
    if ((choice[i].bow == other(choice[i - 1].bow)) != turns) return std::nullopt;
    sum += link_cost(strokes[i - 1], strokes[i], choice[i].link, costs);
  }
  if (sum == never) return std::nullopt;
  return sum;
}

}  // namespace endpin
