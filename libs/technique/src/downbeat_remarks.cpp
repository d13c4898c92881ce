#include <algorithm>
#include <array>
#include <limits>
#include <map>
#include <string>

#include "bowing_remarks.h"

namespace endpin::technique {
namespace {

constexpr double never = std::numeric_limits<double>::infinity();
// A way out is weighed together with the strokes after it, up to so many.
constexpr std::size_t strokes_after = 32;

Bow other(Bow bow) { return bow == Bow::down ? Bow::up : Bow::down; }

// The strokes from one first beat to the next one that would go up.
struct OddBar {
  std::size_t from = 0;
  std::size_t to = 0;
};

enum class WayOut { accept, retake, hook, slur };
constexpr std::array<WayOut, 4> ways{WayOut::accept, WayOut::retake, WayOut::hook, WayOut::slur};
constexpr std::array<const char*, 4> way_keys{"bowing.accept", "bowing.retake", "bowing.hook-two",
                                              "bowing.slur-two"};
const char* key(WayOut way) { return way_keys[static_cast<std::size_t>(way)]; }

struct Weighed {
  double cost = never;
  std::size_t at = 0;  // the stroke that is retaken, hooked or slurred to the one before
};

class Weighing {
 public:
  Weighing(const BowedLine& line, const OddBar& bar, const BowingCosts& costs)
      : line_(line), bar_(bar), costs_(costs), inside_(costs) {
    inside_.last_up = 0;
  }

  Weighed best(WayOut way) const {
    if (way == WayOut::accept) return {cost(way, bar_.to), bar_.to};
    Weighed best;
    const std::size_t last = way == WayOut::retake ? bar_.to : bar_.to - 1;
    for (std::size_t at = bar_.from + 1; at <= last; ++at) {
      const double found = cost(way, at);
      if (found <= best.cost) best = {found, at};
    }
    return best;
  }

 private:
  double cost(WayOut way, std::size_t at) const {
    std::vector<StrokePlace> places;
    std::vector<BowedStroke> chosen;
    for (std::size_t i = bar_.from; i <= bar_.to; ++i) {
      StrokePlace place = line_.strokes[i].place;
      if (way == WayOut::slur && i == at) {
        if (!can_slur(i)) return never;
        places.back().duration += place.duration;
        places.back().seconds += place.seconds;
        continue;
      }
      const bool same = i == at && way != WayOut::accept;
      BowedStroke next{line_.bowed[i].bow, StrokeLink::first};
      if (!chosen.empty()) {
        next.bow = same ? chosen.back().bow : other(chosen.back().bow);
        next.link = !same                   ? StrokeLink::alternate
                    : way == WayOut::retake ? StrokeLink::retake
                                            : StrokeLink::hook;
      }
      places.push_back(place);
      chosen.push_back(next);
    }
    const auto before = bowing_cost(places, inside_, chosen);
    if (!before) return never;
    return *before + after(chosen.back().bow) + (way == WayOut::slur ? costs_.slur_two : 0);
  }

  bool can_slur(std::size_t i) const {
    const StrokePlace& place = line_.strokes[i].place;
    const auto& a =
        line_.timeline.notes[static_cast<std::size_t>(line_.strokes[i - 1].notes.back())];
    return place.rest_before == Seconds(0) && !place.strong_beat && !place.plucked &&
           !line_.strokes[i - 1].place.plucked && a.midi != line_.first_note(i).midi;
  }

  // What the strokes after the first beat cost if it goes `bow`, its own share left out.
  double after(Bow bow) const {
    std::vector<StrokePlace> places;
    std::size_t end = bar_.to;
    while (end < line_.strokes.size() && end < bar_.to + strokes_after &&
           !line_.strokes[end].again) {
      places.push_back(line_.strokes[end++].place);
    }
    places.front().fixed = bow;
    const BowingCosts& costs = end == line_.strokes.size() ? costs_ : inside_;
    const std::array<BowedStroke, 1> first{BowedStroke{bow, StrokeLink::first}};
    const auto own = bowing_cost(std::span(places).first(1), inside_, first);
    return endpin::bow(places, costs).cost - own.value_or(0);
  }

  const BowedLine& line_;
  const OddBar& bar_;
  const BowingCosts& costs_;
  BowingCosts inside_;  // without the cost of a last stroke, which lies beyond
};

bool settled_inside(const BowedLine& line, const OddBar& bar) {
  for (std::size_t i = bar.from + 1; i <= bar.to; ++i) {
    const StrokeNotes& stroke = line.strokes[i];
    if (stroke.place.fixed || stroke.again || stroke.place.plucked) return true;
  }
  return false;
}

// As it comes, the first beat would go up though the one before goes down.
std::vector<OddBar> odd_bars(const BowedLine& line) {
  std::vector<OddBar> result;
  OddBar bar;
  for (std::size_t i = 1; i < line.strokes.size(); ++i) {
    if (!line.strokes[i].place.downbeat) continue;
    bar.to = i;
    const bool flips = (i - bar.from) % 2 == 1;
    const bool up = (line.bowed[bar.from].bow == Bow::up) != flips;
    if (up && line.bowed[bar.from].bow == Bow::down && !settled_inside(line, bar)) {
      result.push_back(bar);
    }
    bar.from = i;
  }
  return result;
}

WayOut way_taken(const BowedLine& line, const OddBar& bar) {
  WayOut way = WayOut::accept;
  for (std::size_t i = bar.from + 1; i <= bar.to; ++i) {
    if (line.bowed[i].link == StrokeLink::retake) return WayOut::retake;
    if (line.bowed[i].link == StrokeLink::hook) way = WayOut::hook;
  }
  return way;
}

RemarkOption option(const BowedLine& line, WayOut way, const Weighed& weighed, WayOut taken) {
  RemarkOption result;
  result.says.key = key(way);
  if (way == WayOut::hook || way == WayOut::slur) {
    result.notes.push_back(line.first_id(weighed.at - 1));
  }
  result.notes.push_back(line.first_id(weighed.at));
  result.cost = weighed.cost;
  result.proposed = way == taken;
  return result;
}

MarkingRemark remark(const BowedLine& line, const OddBar& bar, const BowingCosts& costs) {
  const Weighing weighing(line, bar, costs);
  const WayOut taken = way_taken(line, bar);
  MarkingRemark result;
  result.kind = "comes-out-up";
  for (const WayOut way : ways) {
    const Weighed weighed = weighing.best(way);
    if (weighed.cost == never) continue;
    result.options.push_back(option(line, way, weighed, taken));
  }
  std::stable_sort(result.options.begin(), result.options.end(),
                   [](const auto& a, const auto& b) { return a.cost < b.cost; });
  result.says = {
      "bowing.comes-out-up",
      {{"count", argument(static_cast<int>(bar.to - bar.from))}, {"proposed", key(taken)}}};
  return result;
}

// Rhythm and way out: what two odd bars must share to be one remark.
std::string kind_of(const BowedLine& line, const OddBar& bar) {
  std::string text = key(way_taken(line, bar));
  for (std::size_t i = bar.from; i < bar.to; ++i) {
    text += ' ' + line.strokes[i].place.duration.text();
    if (line.strokes[i + 1].place.rest_before > Seconds(0)) text += " rest";
  }
  return text;
}

}  // namespace

std::vector<MarkingRemark> remarks_on_downbeats(const BowedLine& line, const BowingCosts& costs) {
  std::vector<MarkingRemark> result;
  std::map<std::string, std::size_t> known;
  for (const OddBar& bar : odd_bars(line)) {
    const auto [at, fresh] = known.emplace(kind_of(line, bar), result.size());
    if (fresh) result.push_back(remark(line, bar, costs));
    add_place(result[at->second], line.bar(bar.to), line.first_id(bar.to));
  }
  return result;
}

}  // namespace endpin::technique
