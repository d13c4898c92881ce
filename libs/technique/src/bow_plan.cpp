#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "endpin/technique/bowing.h"

namespace endpin {
namespace {

constexpr int lengths = 16;         // sixteenths of the bow
constexpr double fastest = 1.5;     // bow lengths a second that a stroke takes of itself (ours)
constexpr double home_cost = 0.05;  // a free down-bow begins at the frog, an up-bow at the tip
constexpr double move_cost = 0.1;   // the whole bow through the air in a rest
constexpr double never = std::numeric_limits<double>::infinity();

struct Reached {
  double cost = never;
  int start = 0;  // where this stroke began
  int from = 0;   // where the stroke before ended
};
using Column = std::array<Reached, lengths + 1>;  // by where the stroke ends

double wanted_share(const StrokePlace& stroke) {
  const double by_duration = stroke.duration.to_double() / 2;
  const double by_speed = fastest * stroke.seconds.value();
  return std::clamp(std::min(by_duration, by_speed), 1.0 / lengths, 1.0);
}

std::array<double, lengths + 1> share_costs(double wanted) {
  std::array<double, lengths + 1> costs{};
  for (int taken = 0; taken <= lengths; ++taken) {
    const double off = std::log(std::max(taken, 1) / (wanted * lengths));
    costs[static_cast<std::size_t>(taken)] = taken == 0 ? never : off * off;
  }
  return costs;
}

bool lifted(const StrokePlace& stroke, const BowedStroke& bowed) {
  return bowed.link == StrokeLink::first || bowed.link == StrokeLink::retake ||
         stroke.rest_before > Seconds(0) || stroke.plucked;
}

// The cheapest way to stand at each place before the stroke.
std::array<Reached, lengths + 1> starts(const Column& before, const StrokePlace& stroke,
                                        const BowedStroke& bowed) {
  std::array<Reached, lengths + 1> result{};
  const double home = bowed.bow == Bow::down ? 0 : lengths;
  for (int at = 0; at <= lengths; ++at) {
    Reached& here = result[static_cast<std::size_t>(at)];
    for (int end = 0; end <= lengths; ++end) {
      if (end != at && !lifted(stroke, bowed)) continue;
      double cost = before[static_cast<std::size_t>(end)].cost;
      if (end != at) cost += move_cost * std::abs(at - end) / lengths;
      if (lifted(stroke, bowed)) cost += home_cost * std::abs(at - home) / lengths;
      if (cost < here.cost) here = {cost, at, end};
    }
  }
  return result;
}

Column next(const Column& before, const StrokePlace& stroke, const BowedStroke& bowed) {
  Column column;
  const auto begins = starts(before, stroke, bowed);
  if (stroke.plucked) return begins;
  const auto costs = share_costs(wanted_share(stroke));
  const int way = bowed.bow == Bow::down ? 1 : -1;
  for (int start = 0; start <= lengths; ++start) {
    const Reached& begin = begins[static_cast<std::size_t>(start)];
    for (int end = start + way; end >= 0 && end <= lengths; end += way) {
      const double cost = begin.cost + costs[static_cast<std::size_t>(std::abs(end - start))];
      Reached& here = column[static_cast<std::size_t>(end)];
      if (cost < here.cost) here = {cost, start, begin.from};
    }
  }
  return column;
}

void add_speeds(std::vector<BowSpan>& plan, std::span<const StrokePlace> strokes) {
  for (std::size_t i = 0; i < plan.size(); ++i) {
    plan[i].speed =
        std::abs(plan[i].end - plan[i].start) / std::max(0.02, strokes[i].seconds.value());
    const bool follows = i > 0 && strokes[i].rest_before == Seconds(0) && plan[i - 1].speed > 0;
    if (follows && !strokes[i].plucked) plan[i].speed_ratio = plan[i].speed / plan[i - 1].speed;
  }
}

}  // namespace

std::string_view bow_region(double place) {
  if (place < 1.0 / 3) return "frog";
  return place <= 2.0 / 3 ? "middle" : "tip";
}

std::vector<BowSpan> bow_plan(std::span<const StrokePlace> strokes,
                              std::span<const BowedStroke> bowed) {
  std::vector<BowSpan> plan(strokes.size());
  if (strokes.empty()) return plan;
  Column resting;
  for (Reached& place : resting) place.cost = 0;
  std::vector<Column> columns;
  columns.reserve(strokes.size());
  for (std::size_t i = 0; i < strokes.size(); ++i) {
    columns.push_back(next(i == 0 ? resting : columns.back(), strokes[i], bowed[i]));
  }
  const auto cheapest = [](const Reached& a, const Reached& b) { return a.cost < b.cost; };
  const Column& last = columns.back();
  auto at = static_cast<int>(std::min_element(last.begin(), last.end(), cheapest) - last.begin());
  for (std::size_t i = strokes.size(); i-- > 0;) {
    const Reached& here = columns[i][static_cast<std::size_t>(at)];
    plan[i].start = static_cast<double>(here.start) / lengths;
    plan[i].end = strokes[i].plucked ? plan[i].start : static_cast<double>(at) / lengths;
    at = here.from;
  }
  add_speeds(plan, strokes);
  return plan;
}

}  // namespace endpin
