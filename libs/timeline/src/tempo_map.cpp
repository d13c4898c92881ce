#include "endpin/timeline/tempo_map.h"

#include <algorithm>
#include <cassert>
#include <utility>

#include "endpin/timeline/timeline.h"

namespace endpin {

TempoMap::TempoMap(std::vector<TempoChange> changes) : changes_(std::move(changes)) {
  assert(!changes_.empty());
  Seconds now{0};
  Beats from{0};
  starts_.reserve(changes_.size());
  for (std::size_t i = 0; i < changes_.size(); ++i) {
    assert(changes_[i].tempo.value() > 0);
    const Bpm before = changes_[i == 0 ? 0 : i - 1].tempo;
    now += (changes_[i].at - from).to_double() * before.per_quarter();
    from = changes_[i].at;
    starts_.push_back(now);
  }
}

std::size_t TempoMap::change_before(Beats at) const {
  const auto after = std::upper_bound(changes_.begin(), changes_.end(), at,
                                      [](Beats b, const TempoChange& c) { return b < c.at; });
  return after == changes_.begin() ? 0 : static_cast<std::size_t>(after - changes_.begin()) - 1;
}

Bpm TempoMap::tempo_at(Beats at) const { return changes_[change_before(at)].tempo; }

Seconds TempoMap::seconds_at(Beats at) const {
  const std::size_t i = change_before(at);
  return starts_[i] + (at - changes_[i].at).to_double() * changes_[i].tempo.per_quarter();
}

TempoMap TempoMap::scaled(double factor) const {
  std::vector<TempoChange> changes = changes_;
  for (TempoChange& change : changes) change.tempo = change.tempo * factor;
  return TempoMap(std::move(changes));
}

Beats Timeline::end() const {
  Beats end{0};
  if (!bars.empty()) end = bars.back().start + bars.back().length;
  for (const TimelineNote& note : notes) end = std::max(end, note.onset + note.duration);
  return end;
}

}  // namespace endpin
