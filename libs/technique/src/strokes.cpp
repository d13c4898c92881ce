#include "strokes.h"

#include <algorithm>
#include <set>
#include <string>

namespace endpin::technique {
namespace {

bool slurred(const Timeline& timeline, const std::vector<int>& before, int next) {
  const auto& slur = timeline.notes[static_cast<std::size_t>(next)].slur_id;
  return slur && std::any_of(before.begin(), before.end(), [&](int i) {
           return timeline.notes[static_cast<std::size_t>(i)].slur_id == slur;
         });
}

std::vector<std::vector<int>> groups(const Timeline& timeline) {
  std::vector<std::vector<int>> result;
  for (const TimelineNote& note : timeline.notes) {
    const bool together =
        !result.empty() &&
        timeline.notes[static_cast<std::size_t>(result.back().back())].onset == note.onset;
    if (together || (!result.empty() && slurred(timeline, result.back(), note.index))) {
      result.back().push_back(note.index);
    } else {
      result.push_back({note.index});
    }
  }
  return result;
}

Beats whole_length(const TimelineBar& bar) { return Beats(4 * bar.beats, bar.beat_type); }

bool jumped(const Timeline& timeline, std::size_t bar) {
  if (bar == 0) return true;
  const TimelineBar& before = timeline.bars[bar - 1];
  return timeline.bars[bar].written_index != before.written_index + 1 ||
         timeline.bars[bar].pass != before.pass;
}

Beats beat_length(const TimelineBar& bar) {
  const bool compound = bar.beat_type >= 8 && bar.beats % 3 == 0 && bar.beats > 3;
  return compound ? Beats(12, bar.beat_type) : Beats(4, bar.beat_type);
}

// A bar of four has its middle, one of six in two has its second half.
bool is_strong(const TimelineBar& bar, Beats at) {
  const Beats beat = beat_length(bar);
  const Beats count = at / beat;
  if (count.denominator() != 1) return false;
  const Beats beats = bar.length / beat;
  return beats == Beats(4) ? count == Beats(2) : beats == Beats(2) && count == Beats(1);
}

void place_in_bar(StrokePlace& place, const Timeline& timeline, std::size_t bar) {
  const TimelineBar& b = timeline.bars[bar];
  const bool pickup = is_pickup_bar(timeline, bar);
  place.downbeat = place.onset == b.start && !pickup;
  place.strong_beat = !place.downbeat && !pickup && is_strong(b, place.onset - b.start);
  const bool leads_over = place.onset + place.duration == b.start + b.length;
  const bool alone =
      place.rest_before > Seconds(0) && place.duration <= beat_length(b) && place.onset > b.start;
  place.pickup = leads_over && (pickup || alone);
  place.section_start = place.onset == b.start && jumped(timeline, bar);
}

StrokePlace place_of(const Timeline& timeline, const std::vector<int>& notes) {
  StrokePlace place;
  const auto note = [&](int i) -> const TimelineNote& {
    return timeline.notes[static_cast<std::size_t>(i)];
  };
  place.onset = note(notes.front()).onset;
  Beats end = place.onset;
  for (const int i : notes) end = std::max(end, note(i).onset + note(i).duration);
  place.duration = end - place.onset;
  place.seconds = timeline.tempo.seconds_at(end) - timeline.tempo.seconds_at(place.onset);
  place.single = note(notes.back()).onset == place.onset;
  place.plucked = note(notes.front()).plucked;
  return place;
}

}  // namespace

bool is_pickup_bar(const Timeline& timeline, std::size_t bar) {
  const TimelineBar& b = timeline.bars[bar];
  if (b.length >= whole_length(b)) return false;
  if (b.written_index == 0) return true;
  const auto before = std::find_if(
      timeline.bars.begin(), timeline.bars.end(),
      [&](const TimelineBar& other) { return other.written_index == b.written_index - 1; });
  return before != timeline.bars.end() && before->length + b.length == whole_length(b);
}

std::vector<StrokeNotes> strokes(const Timeline& timeline) {
  std::vector<StrokeNotes> result;
  std::set<std::string> seen;
  std::size_t bar = 0;
  Beats end;
  for (std::vector<int>& notes : groups(timeline)) {
    StrokeNotes stroke;
    stroke.place = place_of(timeline, notes);
    const Beats onset = stroke.place.onset;
    if (onset > end) {
      stroke.place.rest_before = timeline.tempo.seconds_at(onset) - timeline.tempo.seconds_at(end);
    }
    while (bar + 1 < timeline.bars.size() && timeline.bars[bar + 1].start <= onset) ++bar;
    if (!timeline.bars.empty()) place_in_bar(stroke.place, timeline, bar);
    const bool held = !result.empty() &&
                      timeline.notes[static_cast<std::size_t>(result.back().notes.back())].fermata;
    stroke.place.breath_before = held || (stroke.place.section_start && !result.empty());
    stroke.bar = static_cast<int>(bar);
    stroke.again = true;
    for (const int i : notes) {
      stroke.again &= !seen.insert(timeline.notes[static_cast<std::size_t>(i)].id).second;
    }
    end = std::max(end, onset + stroke.place.duration);
    stroke.notes = std::move(notes);
    result.push_back(std::move(stroke));
  }
  return result;
}

}  // namespace endpin::technique
