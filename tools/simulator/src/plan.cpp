#include "endpin/simulator/plan.h"

#include "endpin/simulator/tunes.h"

namespace endpin::simulator {
namespace {

Intent intent_of(const TimelineNote& note, const std::string& instrument) {
  Intent intent;
  intent.index = note.index;
  intent.at = note.onset.to_double();
  intent.length = note.duration.to_double();
  intent.midi = note.midi;
  const auto stop = first_position(instrument, note.midi);
  intent.string = note.string.value_or(stop ? stop->string : 1);
  intent.finger = note.open ? 0 : note.finger.value_or(stop ? stop->finger : 2);
  intent.plucked = note.plucked;
  return intent;
}

bool one_stroke(const TimelineNote& a, const TimelineNote& b) {
  const bool together =
      (a.slur_id && a.slur_id == b.slur_id) || (a.stroke_id && a.stroke_id == b.stroke_id);
  return together && a.onset < b.onset && a.onset + a.duration == b.onset;
}

}  // namespace

Plan plan_of(const Timeline& timeline) {
  const std::string instrument = timeline.instrument.empty() ? "violin" : timeline.instrument;
  Plan plan;
  for (std::size_t i = 0; i < timeline.notes.size(); ++i) {
    plan.intents.push_back(intent_of(timeline.notes[i], instrument));
    plan.intents.back().joined = i > 0 && one_stroke(timeline.notes[i - 1], timeline.notes[i]);
  }
  return plan;
}

}  // namespace endpin::simulator
