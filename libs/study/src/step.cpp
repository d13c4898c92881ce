#include <algorithm>
#include <set>

#include "sections.h"

namespace endpin::study_internal {
namespace {

struct Collector {
  const Instrument& instrument;
  std::vector<std::string> order;  // of the steps, first learnt first
  int rank = 0;
  std::vector<StepDemand::Reason> reasons;

  // A step that is not in the teacher's order is learnt first, so that it demands nothing.
  int rank_of(std::string_view step) const {
    const auto found = std::find(order.begin(), order.end(), step);
    return found == order.end() ? 0 : static_cast<int>(found - order.begin());
  }

  // Keeps the reasons of the highest step only.
  void demand(int step, const Sentence& says, const TimelineNote& note) {
    if (step < rank) return;
    if (step > rank) reasons.clear();
    rank = step;
    auto found = std::find_if(reasons.begin(), reasons.end(),
                              [&](const StepDemand::Reason& r) { return r.says.key == says.key; });
    if (found == reasons.end()) {
      reasons.push_back({says, {}, {}});
      found = std::prev(reasons.end());
    }
    add_once(found->bars, note.bar);
    found->notes.push_back(note.id);
  }
  void demand(std::string_view step, const Sentence& says, const TimelineNote& note) {
    demand(rank_of(step), says, note);
  }
};

void demand_reach(Collector& c, const TimelineNote& note) {
  int rank = 0;
  while (rank + 1 < static_cast<int>(c.order.size()) &&
         stops(c.instrument, note.spelled,
               reach(c.instrument, c.order[static_cast<std::size_t>(rank)]))
             .empty()) {
    ++rank;
  }
  // What no hand reaches is said of the range, and is no demand.
  if (stops(c.instrument, note.spelled, c.instrument.reaches.back()).empty()) return;
  c.demand(rank, {"study.step.reach", {{"note", note.spelled.text()}}}, note);
}

void demand_values(Collector& c, const TimelineNote& note, bool compound) {
  if (note.duration < Beats(1)) c.demand("first-position", {"study.step.eighths", {}}, note);
  if (note.duration < Beats(1, 2)) c.demand("slurs", {"study.step.sixteenths", {}}, note);
  if (!compound && note.duration.numerator() == 3 && note.duration < Beats(3)) {
    c.demand("extensions", {"study.step.dotted", {}}, note);
  }
}

void demand_strokes(Collector& c, const TimelineNote& note) {
  if (note.articulation == Articulation::staccato) {
    c.demand("slurs", {"study.step.staccato", {}}, note);
  }
  if (note.articulation == Articulation::spiccato) {
    c.demand("neck-positions", {"study.step.spiccato", {}}, note);
  }
  if (note.ornament == Ornament::trill) c.demand("neck-positions", {"study.step.trill", {}}, note);
  if (note.chord_id) c.demand("upper-positions", {"study.step.double-stops", {}}, note);
}

void demand_slurs(Collector& c, const std::vector<const TimelineNote*>& notes) {
  for (std::size_t i = 0; i < notes.size();) {
    std::size_t end = i + 1;
    while (notes[i]->slur_id && end < notes.size() && notes[end]->slur_id == notes[i]->slur_id) {
      ++end;
    }
    const std::size_t count = end - i;
    const Sentence says{"study.step.slur", {{"count", argument(static_cast<int>(count))}}};
    if (count >= 2) c.demand("slurs", says, *notes[i]);
    if (count >= 3) c.demand("lower-positions", says, *notes[i]);
    if (count >= 6) c.demand("neck-positions", says, *notes[i]);
    i = end;
  }
}

// More notes a second than a step takes (ours; sixteenths at a quarter of 50 are 3.3).
struct Speed {
  std::string_view step;
  double notes_per_second;
};
constexpr Speed speeds[] = {{"first-position", 1.0}, {"slurs", 2.4},
                            {"extensions", 3.0},     {"lower-positions", 3.3},
                            {"neck-positions", 4.5}, {"upper-positions", 6.5},
                            {"thumb", 8.5}};

void demand_speed(Collector& c, const Timeline& timeline,
                  const std::vector<const TimelineNote*>& notes) {
  if (!timeline.tempo_is_given) return;
  constexpr std::size_t window = 8;
  for (std::size_t i = 0; i + window < notes.size(); ++i) {
    const double seconds = (timeline.tempo.seconds_at(notes[i + window]->onset) -
                            timeline.tempo.seconds_at(notes[i]->onset))
                               .value();
    if (seconds <= 0) continue;
    const double rate = window / seconds;
    for (const Speed& speed : speeds) {
      if (rate <= speed.notes_per_second) continue;
      c.demand(speed.step, {"study.step.speed", {{"rate", argument(rate, 1)}}}, *notes[i]);
    }
  }
}

std::vector<std::string> order_of(const Instrument& instrument, const StudyOptions& options) {
  if (!options.step_order.empty()) return options.step_order;
  std::vector<std::string> order;
  for (const Reach& reach : instrument.reaches) order.emplace_back(reach.step);
  return order;
}

}  // namespace

StepDemand step_demand(const Timeline& timeline, const Instrument& instrument,
                       const StudyOptions& options) {
  Collector c{instrument, order_of(instrument, options), 0, {}};
  const auto notes = written_notes(timeline);
  const bool compound = metre(timeline).compound;
  for (const TimelineNote* note : notes) {
    demand_reach(c, *note);
    demand_values(c, *note, compound);
    demand_strokes(c, *note);
  }
  demand_slurs(c, notes);
  demand_speed(c, timeline, notes);
  return {c.order[static_cast<std::size_t>(c.rank)], std::move(c.reasons)};
}

}  // namespace endpin::study_internal
