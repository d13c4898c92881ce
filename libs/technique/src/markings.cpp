#include "endpin/technique/markings.h"

#include <algorithm>
#include <array>
#include <set>
#include <unordered_map>

#include "bowing_remarks.h"
#include "fingering_reasons.h"
#include "mark_bowing.h"
#include "settled.h"

namespace endpin {
namespace {

using technique::Settled;
using technique::settled;
using technique::settled_of;
using technique::SettledById;

struct Events {
  std::vector<FingeringEvent> events;
  std::vector<std::vector<int>> notes;  // timeline indices, parallel to the events' notes
};

bool beat_begins(const Timeline& timeline, const TimelineNote& note) {
  return (note.onset / timeline.beat_unit).denominator() == 1;
}

void add_note(Events& result, const Timeline& timeline, const TimelineNote& note,
              const SettledById& all) {
  const auto index = [&](int i) -> const TimelineNote& {
    return timeline.notes[static_cast<std::size_t>(i)];
  };
  const Seconds onset = timeline.tempo.seconds_at(note.onset);
  const Seconds sounding = timeline.tempo.seconds_at(note.onset + note.duration) - onset;
  if (result.notes.empty() || index(result.notes.back().front()).onset != note.onset) {
    FingeringEvent event;
    event.onset = onset;
    event.on_beat = beat_begins(timeline, note);
    if (!result.notes.empty() && note.slur_id) {
      for (const int i : result.notes.back()) {
        event.slurred_from_before |= index(i).slur_id == note.slur_id;
      }
    }
    result.events.push_back(event);
    result.notes.emplace_back();
  }
  FingeringEvent& event = result.events.back();
  event.sounding = std::max(event.sounding, sounding);
  const Settled& s = settled_of(all, note.id);
  event.notes.push_back({note.spelled, s.stop, note.harmonic, s.stopped_harmonic});
  result.notes.back().push_back(note.index);
}

// Each written note once, in the order in which it is first played.
Events fingering_events(const Timeline& timeline, const SettledById& all) {
  Events result;
  std::set<std::string> seen;
  for (const TimelineNote& note : timeline.notes) {
    if (seen.insert(note.id).second) add_note(result, timeline, note, all);
  }
  return result;
}

Origin note_reason_origin(const Settled& s) {
  return std::max(s.finger_origin, s.string_origin, [](Origin a, Origin b) {
    return (a == Origin::proposed) > (b == Origin::proposed);
  });
}

void set_fingering(NoteMarking& marking, const Settled& s, const Stop* stop,
                   const FingeredEvent& event, const Instrument& instrument) {
  marking.string_origin = s.string_origin;
  marking.finger_origin = s.finger_origin;
  marking.playable = stop != nullptr || s.stopped_harmonic;
  marking.string = s.stop.string;
  marking.finger = s.stop.finger;
  if (!stop) return;
  if (!marking.string) marking.string = stop->string;
  if (!marking.finger) marking.finger = stop->finger;
  marking.extension = stop->extension;
  if (event.hand) {
    const Position& position = position_of(instrument, *event.hand);
    marking.position = position.number;
    marking.position_key = position.key;
  }
}

Sentence settled_reason(const Settled& s, Sentence otherwise) {
  if (s.stopped_harmonic) return {};
  if (s.stop.empty() || otherwise.key == "fingering.fixed-ignored") return otherwise;
  const bool teacher = note_reason_origin(s) == Origin::teacher || s.stop.position;
  return {teacher ? "fingering.teacher" : "fingering.printed", {}};
}

int lowest_string(const FingeredEvent& event) {
  int string = 4;
  for (const Stop& stop : event.stops) string = std::min(string, stop.string);
  return string;
}

void add_fingering(Markings& result, const Timeline& timeline, const Events& events,
                   const Fingering& fingering, const SettledById& all,
                   const Instrument& instrument) {
  const auto reasons = technique::fingering_reasons(events.events, fingering, instrument);
  for (std::size_t e = 0; e < events.events.size(); ++e) {
    const FingeredEvent& event = fingering.events[e];
    for (std::size_t n = 0; n < events.notes[e].size(); ++n) {
      const TimelineNote& note = timeline.notes[static_cast<std::size_t>(events.notes[e][n])];
      NoteMarking marking;
      marking.id = note.id;
      marking.bar = note.bar;
      const Settled& s = settled_of(all, note.id);
      set_fingering(marking, s, event.stops.empty() ? nullptr : &event.stops[n], event, instrument);
      marking.shift = technique::shifts_to(fingering, e);
      marking.crossing = e > 0 && !event.stops.empty() && !fingering.events[e - 1].stops.empty() &&
                         lowest_string(event) != lowest_string(fingering.events[e - 1]);
      marking.fingering_reason = settled_reason(s, reasons[e]);
      result.notes.push_back(std::move(marking));
    }
  }
}

// Names of what is traded: less of it, more of it.
struct TradeWords {
  int FingeringTrade::*amount;
  const char* less;
  const char* more;
};
constexpr std::array<TradeWords, 6> trade_words{
    {{&FingeringTrade::shifts, "trade.fewer-shifts", "trade.more-shifts"},
     {&FingeringTrade::crossings, "trade.fewer-crossings", "trade.more-crossings"},
     {&FingeringTrade::open_strings, "trade.fewer-open", "trade.more-open"},
     {&FingeringTrade::fourth_fingers, "trade.fewer-fourth", "trade.more-fourth"},
     {&FingeringTrade::extensions, "trade.fewer-stretches", "trade.more-stretches"},
     {&FingeringTrade::position, "trade.lower", "trade.higher"}}};

void add_key(std::string& keys, const char* key) {
  if (!keys.empty()) keys += ',';
  keys += key;
}

Sentence trade_sentence(const FingeringTrade& trade) {
  std::string gains;
  std::string losses;
  for (const TradeWords& words : trade_words) {
    if (trade.*words.amount < 0) add_key(gains, words.less);
    if (trade.*words.amount > 0) add_key(losses, words.more);
  }
  Sentence says{"fingering.alternative-gain", {{"gains", gains}}};
  if (losses.empty()) return says;
  says.key = "fingering.alternative";
  says.args["losses"] = losses;
  return says;
}

MarkingAlternative alternative(const FingeringAlternative& found, const Timeline& timeline,
                               const Events& events, const Instrument& instrument) {
  MarkingAlternative result;
  result.rank = found.rank;
  result.cost = found.cost;
  result.trade = found.trade;
  result.says = trade_sentence(found.trade);
  for (std::size_t e = 0; e < found.events.size(); ++e) {
    const std::vector<int>& notes = events.notes[found.from + e];
    const FingeredEvent& event = found.events[e];
    for (std::size_t n = 0; n < notes.size(); ++n) {
      const TimelineNote& note = timeline.notes[static_cast<std::size_t>(notes[n])];
      MarkingAlternative::Note other{note.id, {}, {}, {}};
      if (!event.stops.empty()) {
        other.string = event.stops[n].string;
        other.finger = event.stops[n].finger;
      }
      if (event.hand) other.position = position_of(instrument, *event.hand).number;
      if (result.notes.empty()) result.bar = note.bar;
      result.notes.push_back(std::move(other));
    }
  }
  return result;
}

// One remark for all notes that no hand plays, one for all settled fingerings that none can take.
void remark_on_fingering(Markings& result) {
  MarkingRemark unplayable{"unplayable", "", {}, {"fingering.unplayable", {}}, {}};
  MarkingRemark ignored{"contradiction", "", {}, {"fingering.settled-unplayable", {}}, {}};
  for (const NoteMarking& note : result.notes) {
    if (!note.playable) technique::add_place(unplayable, note.bar, note.id);
    if (note.fingering_reason.key == "fingering.fixed-ignored") {
      technique::add_place(ignored, note.bar, note.id);
    }
  }
  for (const MarkingRemark* remark : {&unplayable, &ignored}) {
    if (!remark->notes.empty()) result.remarks.push_back(*remark);
  }
}

void sort_remarks(std::vector<MarkingRemark>& remarks) {
  constexpr std::array<std::string_view, 6> order{"unplayable", "contradiction", "comes-out-up",
                                                  "fast-bow",   "change",        "redundant-mark"};
  const auto rank = [&](const MarkingRemark& remark) {
    return std::find(order.begin(), order.end(), remark.kind) - order.begin();
  };
  std::stable_sort(
      remarks.begin(), remarks.end(),
      [&](const MarkingRemark& a, const MarkingRemark& b) { return rank(a) < rank(b); });
}

BowingCosts in_force(const MarkingOptions& options) {
  BowingCosts costs = options.bowing_costs;
  for (const HouseRule& rule : options.rules) {
    if (!rule.cost_name.empty()) set_cost(costs, rule.cost_name, rule.cost_value);
  }
  return costs;
}

}  // namespace

const NoteMarking* Markings::find(std::string_view id) const {
  const auto found = std::find_if(notes.begin(), notes.end(),
                                  [&](const NoteMarking& note) { return note.id == id; });
  return found == notes.end() ? nullptr : &*found;
}

Markings mark(const Score& score, int part, const Timeline& timeline, const Instrument& instrument,
              const MarkingOptions& options) {
  Markings result;
  result.instrument = instrument.name;
  result.step = options.step.empty() ? guess_step(timeline, instrument) : options.step;
  const Part& line = score.parts[static_cast<std::size_t>(part)];
  const SettledById all = settled(line, options.teacher);
  const Events events = fingering_events(timeline, all);
  const FingeringCosts costs =
      options.fingering_costs.value_or(default_fingering_costs(instrument.kind));
  const Fingering fingering =
      finger_alike(events.events, instrument, reach(instrument, result.step), costs, options.rules);
  result.fingering_cost = fingering.cost;
  add_fingering(result, timeline, events, fingering, all, instrument);
  if (options.alternatives) {
    for (const FingeringAlternative& found :
         fingering_alternatives(events.events, instrument, reach(instrument, result.step), costs,
                                options.rules, fingering)) {
      result.alternatives.push_back(alternative(found, timeline, events, instrument));
    }
  }
  remark_on_fingering(result);
  technique::add_bowing(result, line, timeline, all, in_force(options));
  sort_remarks(result.remarks);
  return result;
}

std::vector<std::string> retaken_notes(const Markings& markings) {
  std::vector<std::string> ids;
  for (const NoteMarking& marking : markings.notes) {
    if (marking.link == StrokeLink::retake) ids.push_back(marking.id);
  }
  return ids;
}

void apply(const Markings& markings, Timeline& timeline) {
  std::unordered_map<std::string, const NoteMarking*> by_id;
  for (const NoteMarking& marking : markings.notes) by_id[marking.id] = &marking;
  for (TimelineNote& note : timeline.notes) {
    const auto found = by_id.find(note.id);
    if (found == by_id.end()) continue;
    note.string = found->second->string;
    note.finger = found->second->finger;
    note.open = found->second->finger == 0;
  }
  for (const Stroke& stroke : markings.strokes) {
    for (const int i : stroke.notes)
      timeline.notes[static_cast<std::size_t>(i)].stroke_id = stroke.id;
  }
}

}  // namespace endpin
