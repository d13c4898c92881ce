#include <algorithm>
#include <cstdlib>
#include <set>

#include "spot_reader.h"

namespace endpin::study_internal {
namespace {

constexpr double long_bow_seconds = 4;

void read_bows(SpotReader& reader, const Notes& notes) {
  for (std::size_t i = 0; i < notes.size();) {
    std::size_t end = i + 1;
    const auto& slur = notes[i]->slur_id;
    while (slur && end < notes.size() && notes[end]->slur_id == slur) ++end;
    const TimelineNote& last = *notes[end - 1];
    const double seconds = reader.seconds(notes[i]->onset, last.onset + last.duration);
    if (seconds >= long_bow_seconds && !notes[i]->plucked) {
      reader.add(Kind::long_bow, notes[i]->bar,
                 Notes(notes.begin() + static_cast<std::ptrdiff_t>(i),
                       notes.begin() + static_cast<std::ptrdiff_t>(end)),
                 {"study.spot.long-bow", {{"seconds", argument(seconds, 0)}}}, seconds / 3);
    }
    i = end;
  }
}

// What a note's stroke is called; a slur without dots is legato.
std::string stroke_key(const TimelineNote& note) {
  if (note.articulation != Articulation::none) {
    return "articulation." + std::string(name(note.articulation));
  }
  return note.slur_id ? "articulation.slurred" : "articulation.none";
}

bool is_dotted_stroke(const TimelineNote& note) { return note.articulation != Articulation::none; }

// From or to a stroke that is marked; slurred and separate notes by turns are no news.
void read_articulation(SpotReader& reader) {
  for (const WrittenBar& bar : reader.bars) {
    int changes = 0;
    for (std::size_t i = 1; i < bar.notes.size(); ++i) {
      const TimelineNote& a = *bar.notes[i - 1];
      const TimelineNote& b = *bar.notes[i];
      if (a.onset == b.onset || a.articulation == b.articulation) continue;
      if (!is_dotted_stroke(a) && !is_dotted_stroke(b)) continue;
      reader.add(Kind::articulation, bar.number, {&b},
                 {"study.spot.articulation", {{"to", stroke_key(b)}}}, ++changes);
    }
  }
}

void read_double_stops(SpotReader& reader) {
  for (const WrittenBar& bar : reader.bars) {
    for (std::size_t i = 1; i < bar.notes.size(); ++i) {
      if (bar.notes[i - 1]->onset != bar.notes[i]->onset) continue;
      reader.add(Kind::double_stop, bar.number, {bar.notes[i]}, {"study.spot.double-stop", {}});
    }
  }
}

// Half a second lets a bow be lifted and set again at leisure (ours).
constexpr double leisure_seconds = 0.5;

void read_retakes(SpotReader& reader, const Notes& notes) {
  const std::set<std::string_view> retaken(reader.options.retakes.begin(),
                                           reader.options.retakes.end());
  for (std::size_t i = 1; i < notes.size(); ++i) {
    if (!retaken.contains(notes[i]->id)) continue;
    const TimelineNote& before = *notes[i - 1];
    const double seconds = reader.seconds(before.onset + before.duration, notes[i]->onset);
    if (seconds >= leisure_seconds) continue;
    const bool none = seconds <= 0.01;
    Sentence reason{none ? "study.spot.retake-at-once" : "study.spot.retake", {}};
    if (!none) reason.args["seconds"] = argument(seconds, 1);
    reader.add(Kind::retake, notes[i]->bar, {notes[i]}, reason, none ? 1.5 : 1);
  }
}

}  // namespace

void read_bow_spots(SpotReader& reader, const Notes& notes) {
  read_bows(reader, notes);
  read_retakes(reader, notes);
  read_articulation(reader);
  read_double_stops(reader);
}

}  // namespace endpin::study_internal
