#include <algorithm>
#include <array>
#include <optional>
#include <string>

#include "bowing_remarks.h"

namespace endpin::technique {
namespace {

// A retake or hook that costs more than this has neither time nor rhythm for it.
constexpr double easy_link = 2;

enum class Verdict { nothing, redundant, change, contradiction };

class PrintedBows {
 public:
  PrintedBows(const BowedLine& line, const SettledById& all, const BowingCosts& costs)
      : line_(line), all_(all), costs_(costs) {}

  Verdict verdict(std::size_t i) const {
    const StrokePlace& place = line_.strokes[i].place;
    if (i == 0 || place.section_start || place.rest_before >= Seconds(0.5)) return Verdict::nothing;
    const auto anchor = settled_before(i);
    if (!anchor)
      return unmarked_direction(i) == *place.fixed ? Verdict::redundant : Verdict::change;
    return between(*anchor, i);
  }

  bool printed(std::size_t i) const {
    const StrokeNotes& stroke = line_.strokes[i];
    return !stroke.again && stroke.place.fixed && !stroke.place.plucked &&
           settled_of(all_, line_.first_id(i)).bow_origin == Origin::printed;
  }

 private:
  std::optional<std::size_t> settled_before(std::size_t i) const {
    while (i-- > 0) {
      if (line_.strokes[i].place.fixed && !line_.strokes[i].place.plucked) return i;
    }
    return std::nullopt;
  }

  // Where the bow would go if nothing were printed from the beginning to here.
  Bow unmarked_direction(std::size_t i) const {
    std::vector<StrokePlace> places;
    for (std::size_t k = 0; k <= i; ++k) places.push_back(line_.strokes[k].place);
    for (StrokePlace& place : places) place.fixed.reset();
    return bow(places, costs_).strokes.back().bow;
  }

  // Between two settled strokes: do separate strokes lead from one to the other?
  Verdict between(std::size_t anchor, std::size_t i) const {
    std::vector<StrokePlace> places;
    std::vector<BowedStroke> chosen;
    int events = 0;
    for (std::size_t k = anchor; k <= i; ++k) {
      places.push_back(line_.strokes[k].place);
      chosen.push_back(line_.bowed[k]);
      if (k > anchor && chosen.back().link != StrokeLink::alternate) ++events;
    }
    const bool follows = (line_.bowed[i].bow == line_.bowed[anchor].bow) == ((i - anchor) % 2 == 0);
    if (follows) return events == 0 ? Verdict::redundant : Verdict::nothing;
    // Two marks in a row of one direction are a retake that is meant.
    if (i == anchor + 1 || dearest_link(places, chosen) <= easy_link) return Verdict::change;
    return Verdict::contradiction;
  }

  double dearest_link(const std::vector<StrokePlace>& places,
                      const std::vector<BowedStroke>& chosen) const {
    double dearest = 0;
    for (std::size_t k = 1; k < places.size(); ++k) {
      if (chosen[k].link == StrokeLink::alternate) continue;
      dearest = std::max(dearest, link_cost(places[k - 1], places[k], chosen[k].link, costs_));
    }
    return dearest;
  }

  const BowedLine& line_;
  const SettledById& all_;
  const BowingCosts& costs_;
};

MarkingRemark remark(const char* kind, const char* key) {
  MarkingRemark result;
  result.kind = kind;
  result.says.key = key;
  return result;
}

void add_options(MarkingRemark& remark) {
  for (const char* key : {"bowing.retake", "bowing.hook-two", "bowing.slur-two"}) {
    remark.options.push_back({{key, {}}, {}, std::nullopt, false});
  }
}

Sentence directed(const char* key, Bow bow) {
  return {key, {{"direction", bow == Bow::down ? "bowing.down-bow" : "bowing.up-bow"}}};
}

MarkingRemark contradiction(const BowedLine& line, std::size_t i) {
  MarkingRemark result = remark("contradiction", "");
  result.says = directed("bowing.contradiction", line.bowed[i].bow);
  add_place(result, line.bar(i), line.first_id(i));
  add_options(result);
  return result;
}

// A mark on a note in the middle of a stroke cannot be played as it stands.
void add_inside_slurs(std::vector<MarkingRemark>& result, const BowedLine& line,
                      const SettledById& all) {
  for (const StrokeNotes& stroke : line.strokes) {
    for (const int n : stroke.notes) {
      const TimelineNote& note = line.timeline.notes[static_cast<std::size_t>(n)];
      const Settled& settled = settled_of(all, note.id);
      if (stroke.again || note.onset == stroke.place.onset || !settled.bow) continue;
      result.push_back(remark("contradiction", "bowing.inside-slur"));
      add_place(result.back(), note.bar, note.id);
    }
  }
}

}  // namespace

std::vector<MarkingRemark> remarks_on_printed_bows(const BowedLine& line, const SettledById& all,
                                                   const BowingCosts& costs) {
  std::vector<MarkingRemark> result;
  MarkingRemark redundant = remark("redundant-mark", "bowing.redundant");
  std::array<MarkingRemark, 2> changes{remark("change", ""), remark("change", "")};
  for (const Bow bow : {Bow::down, Bow::up}) {
    changes[static_cast<std::size_t>(bow)].says = directed("bowing.change", bow);
  }
  const PrintedBows bows(line, all, costs);
  add_inside_slurs(result, line, all);
  for (std::size_t i = 0; i < line.strokes.size(); ++i) {
    if (!bows.printed(i)) continue;
    const Verdict verdict = bows.verdict(i);
    if (verdict == Verdict::contradiction) result.push_back(contradiction(line, i));
    MarkingRemark& change = changes[static_cast<std::size_t>(line.bowed[i].bow)];
    if (verdict == Verdict::change) add_place(change, line.bar(i), line.first_id(i));
    if (verdict == Verdict::redundant) add_place(redundant, line.bar(i), line.first_id(i));
  }
  for (const MarkingRemark* found : {&changes[0], &changes[1], &redundant}) {
    if (!found->notes.empty()) result.push_back(*found);
  }
  return result;
}

}  // namespace endpin::technique
