#include "bars.h"

#include <map>
#include <set>

namespace endpin::study_internal {
namespace {

Beats full_length(const WrittenBar& bar) { return Beats(4 * bar.beats, bar.beat_type); }

// A short first bar is a pickup; two short ones that fill a bar together are one that was split.
void find_beginnings(std::vector<WrittenBar>& bars) {
  bool second_half = true;  // nothing before it: the first bar may complete what never was written
  for (std::size_t i = 0; i < bars.size(); ++i) {
    WrittenBar& bar = bars[i];
    const Beats missing = full_length(bar) - bar.length;
    const bool is_short = missing > Beats(0);
    const bool fits = i == 0 || (!second_half && bars[i - 1].length == missing);
    second_half = is_short && fits;
    if (second_half) bar.begins = missing;
  }
}

}  // namespace

Beats beat_of(int beats, int beat_type) {
  const bool compound = beat_type >= 8 && beats % 3 == 0 && beats > 3;
  return compound ? Beats(12, beat_type) : Beats(4, beat_type);
}

int beat_number(const WrittenBar& bar, Beats in_bar) {
  return 1 + static_cast<int>(((bar.begins + in_bar) / bar.beat).to_double() + 1e-9);
}

std::vector<WrittenBar> written_bars(const Timeline& timeline) {
  std::vector<WrittenBar> bars;
  std::map<int, std::size_t> seen;
  std::size_t note = 0;
  for (std::size_t b = 0; b < timeline.bars.size(); ++b) {
    const TimelineBar& bar = timeline.bars[b];
    WrittenBar written{bar.number,
                       static_cast<int>(b),
                       bar.written_index,
                       1,
                       bar.start,
                       bar.length,
                       beat_of(bar.beats, bar.beat_type),
                       bar.beats,
                       bar.beat_type,
                       Beats(0),
                       {}};
    for (; note < timeline.notes.size() && timeline.notes[note].onset < bar.start + bar.length;
         ++note) {
      written.notes.push_back(&timeline.notes[note]);
    }
    const auto [place, fresh] = seen.emplace(bar.written_index, bars.size());
    if (fresh) {
      bars.push_back(std::move(written));
    } else {
      ++bars[place->second].times;
    }
  }
  find_beginnings(bars);
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
