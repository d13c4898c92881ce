#include <algorithm>
#include <map>

#include "endpin/words/note_names.h"

#include "sections.h"

namespace endpin::study_internal {

void add_once(std::vector<std::string>& list, const std::string& item) {
  if (list.empty() || list.back() != item) list.push_back(item);
}

std::string letter(const SpelledPitch& pitch) {
  std::string text = pitch.text();
  while (!text.empty() && (text.back() == '-' || (text.back() >= '0' && text.back() <= '9'))) {
    text.pop_back();
  }
  return text;
}

Metre metre(const Timeline& timeline) {
  Metre result;
  result.beat_unit = timeline.beat_unit;
  if (timeline.bars.empty()) return result;
  const TimelineBar& first = timeline.bars.front();
  result.beats = first.beats;
  result.beat_type = first.beat_type;
  result.compound = first.beat_type >= 8 && first.beats % 3 == 0 && first.beats > 3;
  if (first.length < Beats(4 * first.beats, first.beat_type)) result.pickup = first.length;
  result.changes =
      std::any_of(timeline.bars.begin(), timeline.bars.end(), [&](const TimelineBar& bar) {
        return bar.beats != first.beats || bar.beat_type != first.beat_type;
      });
  return result;
}

std::vector<ValueUse> values(const Score& score, int part, const Timeline& timeline) {
  std::map<Beats, ValueUse> found;
  for (const TimelineNote* note : written_notes(timeline)) ++found[note->duration].notes;
  for (const Bar& bar : score.parts[static_cast<std::size_t>(part)].bars) {
    for (const Note& note : bar.notes) {
      if (note.rest == RestKind::rest && note.duration > Beats(0) && !note.cue) {
        ++found[note.duration].rests;
      }
    }
  }
  std::vector<ValueUse> list;
  for (auto& [quarters, use] : found) {
    use.quarters = quarters;
    use.key = duration_key(quarters);
    use.clicks = quarters / timeline.beat_unit;
    list.push_back(use);
  }
  std::reverse(list.begin(), list.end());
  return list;
}

std::optional<Range> range(const Timeline& timeline, const Instrument& instrument) {
  if (timeline.notes.empty()) return std::nullopt;
  std::map<int, SpelledPitch> pitches;
  for (const TimelineNote& note : timeline.notes) pitches.emplace(note.midi, note.spelled);
  Range range{pitches.begin()->second, pitches.rbegin()->second, {}};
  for (const auto& [midi, pitch] : pitches) {
    if (stops(instrument, pitch, instrument.reaches.back()).empty()) range.outside.push_back(pitch);
  }
  return range;
}

}  // namespace endpin::study_internal
