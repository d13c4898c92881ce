#include "bars.h"

#include <set>

namespace endpin::study_internal {

Beats beat_of(int beats, int beat_type) {
  const bool compound = beat_type >= 8 && beats % 3 == 0 && beats > 3;
  return compound ? Beats(12, beat_type) : Beats(4, beat_type);
}

int beat_number(const WrittenBar& bar, Beats in_bar) {
  return 1 + static_cast<int>((in_bar / bar.beat).to_double() + 1e-9);
}

std::vector<WrittenBar> written_bars(const Timeline& timeline) {
  std::vector<WrittenBar> bars;
  std::set<int> seen;
  std::size_t note = 0;
  for (std::size_t b = 0; b < timeline.bars.size(); ++b) {
    const TimelineBar& bar = timeline.bars[b];
    WrittenBar written{
        bar.number, static_cast<int>(b), bar.start, bar.length, beat_of(bar.beats, bar.beat_type),
        {}};
    for (; note < timeline.notes.size() && timeline.notes[note].onset < bar.start + bar.length;
         ++note) {
      written.notes.push_back(&timeline.notes[note]);
    }
    if (seen.insert(bar.written_index).second) bars.push_back(std::move(written));
  }
  return bars;
}

std::vector<const TimelineNote*> written_notes(const Timeline& timeline) {
  std::vector<const TimelineNote*> notes;
  std::set<std::string> seen;
  for (const TimelineNote& note : timeline.notes) {
    if (seen.insert(note.id).second) notes.push_back(&note);
  }
  return notes;
}

}  // namespace endpin::study_internal
