#include "played_tempo.h"

#include <algorithm>
#include <optional>
#include <vector>

namespace endpin {
namespace {

constexpr Bpm default_tempo{90};  // ours: an easy walking pace for reading
constexpr double slowest = 5;     // quarters a minute; outside these a mark is a slip
constexpr double fastest = 1000;

struct Mark {
  Beats at;  // in the bar
  Bpm tempo;
  std::optional<Beats> unit;
};
using MarksByBar = std::vector<std::vector<Mark>>;

/// A metronome mark is the truth; what the file says should sound stands in where there is none.
std::optional<Mark> mark_of(const Direction& direction) {
  std::optional<Mark> mark;
  if (direction.sound_tempo) mark = Mark{direction.at, *direction.sound_tempo, std::nullopt};
  if (direction.metronome && direction.metronome->per_minute > 0) {
    mark = Mark{direction.at, direction.metronome->quarters(), direction.metronome->unit};
  }
  if (mark && (mark->tempo < Bpm(slowest) || mark->tempo > Bpm(fastest))) return std::nullopt;
  return mark;
}

MarksByBar marks_of(const Part& part) {
  MarksByBar marks(part.bars.size());
  for (std::size_t bar = 0; bar < part.bars.size(); ++bar) {
    for (const Direction& direction : part.bars[bar].directions) {
      if (const auto mark = mark_of(direction)) marks[bar].push_back(*mark);
    }
    std::stable_sort(marks[bar].begin(), marks[bar].end(),
                     [](const Mark& a, const Mark& b) { return a.at < b.at; });
  }
  return marks;
}

bool any(const MarksByBar& marks) {
  return std::any_of(marks.begin(), marks.end(), [](const auto& m) { return !m.empty(); });
}

/// The part's own marks, or those of the first part that has some.
MarksByBar marks_for(const Score& score, int part) {
  MarksByBar marks = marks_of(score.parts[part]);
  for (std::size_t other = 0; other < score.parts.size() && !any(marks); ++other) {
    marks = marks_of(score.parts[other]);
    marks.resize(score.parts[part].bars.size());
  }
  return marks;
}

/// What the click counts in a metre: three of its units in compound metres, halves in 2/2.
Beats beat_of(const TimelineBar& bar) {
  const Beats unit(4, bar.beat_type);
  if (bar.beat_type >= 8 && bar.beats > 3 && bar.beats % 3 == 0) return unit * 3;
  return unit;
}

void push(std::vector<TempoChange>& changes, TempoChange change) {
  if (!changes.empty() && changes.back().at == change.at) changes.pop_back();
  if (!changes.empty() && changes.back().tempo == change.tempo) return;
  changes.push_back(change);
}

}  // namespace

void set_tempo(const Score& score, int part, const PlayedOrder& order, Timeline& timeline) {
  const MarksByBar marks = marks_for(score, part);
  timeline.beat_unit = beat_of(timeline.bars.front());
  timeline.tempo_is_given = any(marks);
  // The first mark holds from the beginning, wherever it stands.
  const auto first =
      std::find_if(marks.begin(), marks.end(), [](const auto& m) { return !m.empty(); });
  Bpm now = first == marks.end() ? default_tempo : first->front().tempo;
  std::vector<Bpm> at_bar_start;
  bool unit_known = false;
  for (const auto& bar : marks) {
    at_bar_start.push_back(now);
    for (const Mark& mark : bar) {
      if (mark.unit && !unit_known) timeline.beat_unit = *mark.unit;
      unit_known = unit_known || mark.unit;
      now = mark.tempo;
    }
  }
  std::vector<TempoChange> changes;
  for (std::size_t i = 0; i < order.bars.size(); ++i) {
    const std::size_t bar = order.bars[i].bar;
    push(changes, {timeline.bars[i].start, at_bar_start[bar]});
    for (const Mark& mark : marks[bar]) {
      const Beats at = std::min(mark.at, timeline.bars[i].length);
      push(changes, {timeline.bars[i].start + at, mark.tempo});
    }
  }
  timeline.tempo = TempoMap(std::move(changes));
}

}  // namespace endpin
