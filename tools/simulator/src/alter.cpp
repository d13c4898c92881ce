#include "endpin/simulator/alter.h"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace endpin::simulator {
namespace {

std::size_t at(int index) { return static_cast<std::size_t>(index); }

Altered copy_of(const Timeline& timeline) {
  Altered altered{timeline, {}};
  for (const auto& note : timeline.notes) altered.original.push_back(note.index);
  return altered;
}

void number(Timeline& timeline) {
  for (std::size_t i = 0; i < timeline.notes.size(); ++i) {
    timeline.notes[i].index = static_cast<int>(i);
  }
}

/// Everything from `place` on comes `by` later.
void shift(Timeline& timeline, Beats place, Beats by) {
  for (auto& note : timeline.notes) {
    if (note.onset >= place) note.onset += by;
  }
  for (auto& bar : timeline.bars) {
    if (bar.start >= place) bar.start += by;
  }
}

void set_pitch(TimelineNote& note, int midi, int fifths) {
  note.midi = midi;
  note.spelled = spell(midi, fifths);
  note.string.reset();
  note.finger.reset();
  note.open = false;
}

}  // namespace

std::pair<int, int> notes_of_bar(const Timeline& timeline, int bar) {
  const auto& b = timeline.bars[at(bar)];
  int from = -1;
  int to = -1;
  for (const auto& note : timeline.notes) {
    if (note.onset < b.start || note.onset >= b.start + b.length) continue;
    if (from < 0) from = note.index;
    to = note.index + 1;
  }
  return {from, to};
}

Altered with_pitch(const Timeline& timeline, int index, int by) {
  assert(by != 0);
  auto altered = copy_of(timeline);
  auto& note = altered.timeline.notes[at(index)];
  set_pitch(note, note.midi + by, timeline.fifths);
  return altered;
}

Altered with_note_after(const Timeline& timeline, int index, int midi) {
  auto altered = copy_of(timeline);
  auto note = timeline.notes[at(index)];
  const Beats place = note.onset + note.duration;
  shift(altered.timeline, place, note.duration);
  for (auto& bar : altered.timeline.bars) {
    if (bar.start <= note.onset && note.onset < bar.start + bar.length) {
      bar.length += note.duration;
      break;
    }
  }
  note.onset = place;
  note.id += "-new";
  set_pitch(note, midi, timeline.fifths);
  altered.timeline.notes.insert(altered.timeline.notes.begin() + index + 1, note);
  altered.original.insert(altered.original.begin() + index + 1, -1);
  number(altered.timeline);
  return altered;
}

Altered without_note(const Timeline& timeline, int index) {
  auto altered = copy_of(timeline);
  auto& notes = altered.timeline.notes;
  notes[at(index - 1)].duration += notes[at(index)].duration;
  notes.erase(notes.begin() + index);
  altered.original.erase(altered.original.begin() + index);
  number(altered.timeline);
  return altered;
}

Altered with_uneven_pair(const Timeline& timeline, int index) {
  auto altered = copy_of(timeline);
  auto& first = altered.timeline.notes[at(index)];
  auto& second = altered.timeline.notes[at(index + 1)];
  const Beats half = first.duration / Beats(2);
  first.duration += half;
  second.onset += half;
  second.duration -= half;
  return altered;
}

Altered with_bar_before(const Timeline& timeline, int bar, int copied, int by) {
  auto altered = copy_of(timeline);
  const auto [from, to] = notes_of_bar(timeline, copied);
  auto inserted = timeline.bars[at(copied)];
  const Beats place = timeline.bars[at(bar)].start;
  const int before = notes_of_bar(timeline, bar).first;
  shift(altered.timeline, place, inserted.length);
  auto& notes = altered.timeline.notes;
  for (int i = from; i < to; ++i) {
    auto note = timeline.notes[at(i)];
    note.onset += place - inserted.start;
    note.bar = "new";
    note.id += "-new";
    set_pitch(note, note.midi + by, timeline.fifths);
    notes.insert(notes.begin() + before + (i - from), note);
    altered.original.insert(altered.original.begin() + before, -1);
  }
  inserted.start = place;
  inserted.number = "new";
  altered.timeline.bars.insert(altered.timeline.bars.begin() + bar, inserted);
  number(altered.timeline);
  return altered;
}

Altered without_bar(const Timeline& timeline, int bar) {
  auto altered = copy_of(timeline);
  const auto [from, to] = notes_of_bar(timeline, bar);
  const auto gone = timeline.bars[at(bar)];
  auto& notes = altered.timeline.notes;
  notes.erase(notes.begin() + from, notes.begin() + to);
  altered.original.erase(altered.original.begin() + from, altered.original.begin() + to);
  altered.timeline.bars.erase(altered.timeline.bars.begin() + bar);
  shift(altered.timeline, gone.start + gone.length, -gone.length);
  number(altered.timeline);
  return altered;
}

Audio cut(const Audio& audio, const std::vector<std::pair<Seconds, Seconds>>& stretches) {
  const auto join = static_cast<std::size_t>(0.008 * audio.rate);
  Audio out{audio.rate, {}};
  for (const auto& [from, to] : stretches) {
    const auto begin = static_cast<std::size_t>(std::max(0.0, from.value()) * audio.rate);
    const auto end =
        std::min(audio.samples.size(), static_cast<std::size_t>(to.value() * audio.rate));
    std::vector<float> part(audio.samples.begin() + static_cast<std::ptrdiff_t>(begin),
                            audio.samples.begin() + static_cast<std::ptrdiff_t>(end));
    const auto overlap = std::min({join, out.samples.size(), part.size()});
    for (std::size_t i = 0; i < overlap; ++i) {
      const auto share = static_cast<float>(i) / static_cast<float>(overlap);
      float& last = out.samples[out.samples.size() - overlap + i];
      last = (1 - share) * last + share * part[i];
    }
    out.samples.insert(out.samples.end(), part.begin() + static_cast<std::ptrdiff_t>(overlap),
                       part.end());
  }
  return out;
}

}  // namespace endpin::simulator
