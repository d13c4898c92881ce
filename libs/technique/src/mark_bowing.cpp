#include "mark_bowing.h"

#include <algorithm>
#include <iterator>
#include <map>
#include <set>
#include <unordered_map>

#include "bowing_remarks.h"
#include "strokes.h"

namespace endpin::technique {
namespace {

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

// A breath mark or a caesura after a note lets the next stroke begin anew.
void read_breaths(std::vector<StrokeNotes>& strokes, const Part& part, const Timeline& timeline) {
  std::set<std::string> breaths;
  for (const Bar& bar : part.bars) {
    for (const Note& note : bar.notes) {
      if (note.breath_after) breaths.insert(note.id);
    }
  }
  if (breaths.empty()) return;
  for (std::size_t i = 1; i < strokes.size(); ++i) {
    const int last = strokes[i - 1].notes.back();
    if (breaths.contains(timeline.notes[static_cast<std::size_t>(last)].id)) {
      strokes[i].place.breath_before = true;
    }
  }
}

// Repeat signs and double bars begin a section, whether playing jumps there or goes on.
void read_sections(std::vector<StrokeNotes>& strokes, const Part& part, const Timeline& timeline) {
  const auto begins = [&](std::size_t bar) {
    if (bar == 0 || bar >= part.bars.size()) return false;
    const Bar& before = part.bars[bar - 1];
    return part.bars[bar].navigation.repeat_start || before.navigation.repeat_end ||
           before.right == BarLine::double_line || before.right == BarLine::final_line;
  };
  for (StrokeNotes& stroke : strokes) {
    if (timeline.bars.empty()) return;
    const TimelineBar& bar = timeline.bars[static_cast<std::size_t>(stroke.bar)];
    if (stroke.place.onset != bar.start || !begins(static_cast<std::size_t>(bar.written_index))) {
      continue;
    }
    stroke.place.section_start = true;
    stroke.place.breath_before = true;
  }
}

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

// A later pass keeps the directions that are written, and what was hooked stays hooked; where they
// do not follow, the bow is retaken.
BowedStroke again(const BowedStroke& written, const BowedStroke* before) {
  if (before == nullptr) return {written.bow, StrokeLink::first};
  if (before->bow != written.bow) return {written.bow, StrokeLink::alternate};
  const bool hooked = written.link == StrokeLink::hook;
  return {written.bow, hooked ? StrokeLink::hook : StrokeLink::retake};
}

std::vector<BowedStroke> bow_all(const std::vector<StrokeNotes>& strokes, const Timeline& timeline,
                                 const BowingCosts& costs) {
  std::vector<BowedStroke> bowed(strokes.size());
  std::map<std::string, BowedStroke> known;
  for (std::size_t i = 0; i < strokes.size();) {
    if (strokes[i].again) {
      const auto found = known.find(first_id(strokes[i], timeline));
      const BowedStroke written = found != known.end() ? found->second : BowedStroke{};
      bowed[i] = again(written, i == 0 ? nullptr : &bowed[i - 1]);
      ++i;
      continue;
    }
    std::size_t end = i;
    while (end < strokes.size() && !strokes[end].again) ++end;
    bow_run(bowed, strokes, i, end, costs);
    for (; i < end; ++i) known.emplace(first_id(strokes[i], timeline), bowed[i]);
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

void add_strokes(Markings& result, const BowedLine& line) {
  int id = -1;
  for (std::size_t i = 0; i < line.strokes.size(); ++i) {
    const std::vector<int>& notes = line.strokes[i].notes;
    if (line.bowed[i].link == StrokeLink::hook && !result.strokes.empty()) {
      Stroke& stroke = result.strokes.back();
      stroke.notes.insert(stroke.notes.end(), notes.begin(), notes.end());
      stroke.span.end = line.plan[i].end;
      continue;
    }
    result.strokes.push_back({++id, notes, line.bowed[i].bow, line.bowed[i].link, line.plan[i]});
  }
}

// The stroke under which a bar begins: one that starts there, or one that goes on over the bar
// line.
void add_downbeats(Markings& result, const Timeline& timeline) {
  std::size_t at = 0;
  const auto onset = [&](std::size_t stroke) {
    return timeline.notes[static_cast<std::size_t>(result.strokes[stroke].notes.front())].onset;
  };
  for (std::size_t b = 0; b < timeline.bars.size() && !result.strokes.empty(); ++b) {
    const TimelineBar& bar = timeline.bars[b];
    if (is_pickup_bar(timeline, b)) continue;
    while (at + 1 < result.strokes.size() && onset(at + 1) <= bar.start) ++at;
    const Stroke& stroke = result.strokes[at];
    const auto& last = timeline.notes[static_cast<std::size_t>(stroke.notes.back())];
    const auto& first = timeline.notes[static_cast<std::size_t>(stroke.notes.front())];
    if (first.onset > bar.start || last.onset + last.duration <= bar.start || first.plucked) {
      continue;
    }
    result.downbeats.push_back(
        {bar.number, bar.pass, stroke.id, stroke.bow, first.onset < bar.start});
  }
}

void add_directions(Markings& result, const BowedLine& line, const SettledById& all) {
  std::unordered_map<std::string, NoteMarking*> by_id;
  for (NoteMarking& marking : result.notes) by_id[marking.id] = &marking;
  for (std::size_t i = 0; i < line.strokes.size(); ++i) {
    const StrokePlace& place = line.strokes[i].place;
    if (line.strokes[i].again || place.plucked) continue;
    NoteMarking& marking = *by_id.at(line.first_id(i));
    marking.bow = line.bowed[i].bow;
    marking.link = line.bowed[i].link;
    marking.bow_origin = settled_of(all, line.first_id(i)).bow_origin;
    marking.bow_shown = marking.bow_origin != Origin::proposed ||
                        marking.link != StrokeLink::alternate || place.section_start;
    marking.bow_reason = bow_reason(place, line.bowed[i], marking.bow_origin);
  }
}

void add(std::vector<MarkingRemark>& all, std::vector<MarkingRemark> more) {
  std::move(more.begin(), more.end(), std::back_inserter(all));
}

}  // namespace

void add_bowing(Markings& result, const Part& part, const Timeline& timeline,
                const SettledById& all, const BowingCosts& costs) {
  BowedLine line{timeline, strokes(timeline), {}, {}};
  fix_bows(line.strokes, timeline, all);
  read_breaths(line.strokes, part, timeline);
  read_sections(line.strokes, part, timeline);
  line.bowed = bow_all(line.strokes, timeline, costs);
  std::vector<StrokePlace> places;
  for (const StrokeNotes& stroke : line.strokes) places.push_back(stroke.place);
  line.plan = bow_plan(places, line.bowed);
  add_directions(result, line, all);
  add_strokes(result, line);
  add_downbeats(result, timeline);
  add(result.remarks, remarks_on_printed_bows(line, all, costs));
  add(result.remarks, remarks_on_downbeats(line, costs));
  add(result.remarks, remarks_on_fast_bows(line));
}

void add_place(MarkingRemark& remark, const std::string& bar, const std::string& note) {
  std::string& bars = remark.says.args["bars"];
  if (remark.notes.empty()) remark.bar = bars = bar;
  const bool named = bars == bar || bars.ends_with(',' + bar);
  if (!named) bars += ',' + bar;
  remark.notes.push_back(note);
}

}  // namespace endpin::technique
