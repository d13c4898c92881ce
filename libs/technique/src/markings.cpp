#include "endpin/technique/markings.h"

#include <algorithm>
#include <map>
#include <set>
#include <unordered_map>

#include "fingering_reasons.h"
#include "strokes.h"

namespace endpin {
namespace {

using technique::StrokeNotes;

struct Settled {
  FixedStop stop;
  Origin string_origin = Origin::proposed;
  Origin finger_origin = Origin::proposed;
  std::optional<Bow> bow;
  Origin bow_origin = Origin::proposed;
};
using SettledById = std::unordered_map<std::string, Settled>;

Settled printed(const Note& note) {
  Settled s;
  s.stop.string = note.printed.string;
  if (!note.printed.fingers.empty()) s.stop.finger = note.printed.fingers.back();
  if (note.printed.open_string) s.stop.finger = 0;
  if (note.printed.thumb) s.stop.finger = 5;
  if (s.stop.string) s.string_origin = Origin::printed;
  if (s.stop.finger) s.finger_origin = Origin::printed;
  s.bow = note.printed.bow;
  if (s.bow) s.bow_origin = Origin::printed;
  return s;
}

void overrule(Settled& s, const TeacherMarking& teacher) {
  // A finger of the teacher's on another string than the printed one leaves the printed string.
  if (teacher.finger || teacher.string || teacher.position) s.stop = {};
  if (teacher.string) s.stop.string = teacher.string, s.string_origin = Origin::teacher;
  if (teacher.finger) s.stop.finger = teacher.finger, s.finger_origin = Origin::teacher;
  if (teacher.position) s.stop.position = teacher.position;
  if (teacher.bow) s.bow = teacher.bow, s.bow_origin = Origin::teacher;
}

SettledById settled(const Part& part, const std::vector<TeacherMarking>& teacher) {
  SettledById result;
  for (const Bar& bar : part.bars) {
    for (const Note& note : bar.notes) {
      if (!note.is_rest() && !note.grace && !note.cue) result[note.id] = printed(note);
    }
  }
  for (const TeacherMarking& marking : teacher) overrule(result[marking.id], marking);
  return result;
}

const Settled& settled_of(const SettledById& all, const std::string& id) {
  static const Settled nothing;
  const auto found = all.find(id);
  return found == all.end() ? nothing : found->second;
}

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
  event.notes.push_back({note.spelled, settled_of(all, note.id).stop, note.harmonic});
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
  marking.playable = stop != nullptr;
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

void fix_bows(std::vector<StrokeNotes>& strokes, const Timeline& timeline, const SettledById& all) {
  for (StrokeNotes& stroke : strokes) {
    const auto& first = timeline.notes[static_cast<std::size_t>(stroke.notes.front())];
    stroke.place.fixed = settled_of(all, first.id).bow;
    for (const int i : stroke.notes) {
      const auto& note = timeline.notes[static_cast<std::size_t>(i)];
      if (note.onset == first.onset && !stroke.place.fixed) {
        stroke.place.fixed = settled_of(all, note.id).bow;
      }
    }
  }
}

using BowById = std::map<std::string, Bow>;

const std::string& first_id(const StrokeNotes& stroke, const Timeline& timeline) {
  return timeline.notes[static_cast<std::size_t>(stroke.notes.front())].id;
}

// Strokes [begin, end) are played for the first time; the one before begin, if any, has its
// direction already.
void bow_run(std::vector<BowedStroke>& bowed, const std::vector<StrokeNotes>& strokes,
             std::size_t begin, std::size_t end, const BowingCosts& costs) {
  std::vector<StrokePlace> places;
  if (begin > 0) {
    places.push_back(strokes[begin - 1].place);
    places.back().fixed = bowed[begin - 1].bow;
  }
  for (std::size_t i = begin; i < end; ++i) places.push_back(strokes[i].place);
  const Bowing result = bow(places, costs);
  const std::size_t skip = begin > 0 ? 1 : 0;
  for (std::size_t i = begin; i < end; ++i) bowed[i] = result.strokes[i - begin + skip];
}

// A later pass keeps the directions that are written; where they do not follow, the bow is retaken.
std::vector<BowedStroke> bow_all(const std::vector<StrokeNotes>& strokes, const Timeline& timeline,
                                 const BowingCosts& costs) {
  std::vector<BowedStroke> bowed(strokes.size());
  BowById known;
  for (std::size_t i = 0; i < strokes.size();) {
    if (strokes[i].again) {
      const auto found = known.find(first_id(strokes[i], timeline));
      bowed[i].bow = found != known.end() ? found->second : Bow::down;
      const bool same = i > 0 && bowed[i - 1].bow == bowed[i].bow;
      bowed[i].link = i == 0 ? StrokeLink::first
                      : same ? StrokeLink::retake
                             : StrokeLink::alternate;
      ++i;
      continue;
    }
    std::size_t end = i;
    while (end < strokes.size() && !strokes[end].again) ++end;
    bow_run(bowed, strokes, i, end, costs);
    for (; i < end; ++i) known.emplace(first_id(strokes[i], timeline), bowed[i].bow);
  }
  return bowed;
}

Sentence bow_reason(const StrokePlace& place, const BowedStroke& bowed, Origin origin) {
  if (origin == Origin::printed) return {"bowing.printed", {}};
  if (origin == Origin::teacher) return {"bowing.teacher", {}};
  switch (bowed.link) {
    case StrokeLink::retake:
      return {place.rest_before > Seconds(0) ? "bowing.retake-rest" : "bowing.retake", {}};
    case StrokeLink::hook:
      return {"bowing.hook", {}};
    case StrokeLink::first:
      return {place.pickup ? "bowing.pickup" : "bowing.first", {}};
    case StrokeLink::alternate:
      break;
  }
  return {place.downbeat && bowed.bow == Bow::down ? "bowing.downbeat" : "bowing.as-it-comes", {}};
}

void add_strokes(Markings& result, const std::vector<StrokeNotes>& strokes,
                 const std::vector<BowedStroke>& bowed) {
  std::vector<StrokePlace> places;
  for (const StrokeNotes& stroke : strokes) places.push_back(stroke.place);
  const std::vector<BowSpan> plan = bow_plan(places, bowed);
  int id = -1;
  for (std::size_t i = 0; i < strokes.size(); ++i) {
    if (bowed[i].link == StrokeLink::hook && !result.strokes.empty()) {
      Stroke& stroke = result.strokes.back();
      stroke.notes.insert(stroke.notes.end(), strokes[i].notes.begin(), strokes[i].notes.end());
      stroke.span.end = plan[i].end;
      continue;
    }
    result.strokes.push_back({++id, strokes[i].notes, bowed[i].bow, bowed[i].link, plan[i]});
  }
}

void add_bowing(Markings& result, const Timeline& timeline, const SettledById& all,
                const BowingCosts& costs) {
  std::vector<StrokeNotes> strokes = technique::strokes(timeline);
  fix_bows(strokes, timeline, all);
  const std::vector<BowedStroke> bowed = bow_all(strokes, timeline, costs);
  std::unordered_map<std::string, NoteMarking*> by_id;
  for (NoteMarking& marking : result.notes) by_id[marking.id] = &marking;
  for (std::size_t i = 0; i < strokes.size(); ++i) {
    if (strokes[i].again || strokes[i].place.plucked) continue;
    const std::string& id = first_id(strokes[i], timeline);
    NoteMarking& marking = *by_id.at(id);
    marking.bow = bowed[i].bow;
    marking.link = bowed[i].link;
    marking.bow_origin = settled_of(all, id).bow_origin;
    marking.bow_shown = marking.bow_origin != Origin::proposed ||
                        bowed[i].link != StrokeLink::alternate || strokes[i].place.section_start;
    marking.bow_reason = bow_reason(strokes[i].place, bowed[i], marking.bow_origin);
  }
  add_strokes(result, strokes, bowed);
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
  const SettledById all = settled(score.parts[static_cast<std::size_t>(part)], options.teacher);
  const Events events = fingering_events(timeline, all);
  const FingeringCosts costs =
      options.fingering_costs.value_or(default_fingering_costs(instrument.kind));
  const Fingering fingering =
      finger_alike(events.events, instrument, reach(instrument, result.step), costs, options.rules);
  result.fingering_cost = fingering.cost;
  add_fingering(result, timeline, events, fingering, all, instrument);
  add_bowing(result, timeline, all, options.bowing_costs);
  return result;
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
