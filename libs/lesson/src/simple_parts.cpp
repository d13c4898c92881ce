#include "simple_parts.h"

#include <algorithm>
#include <cstdlib>

#include "endpin/instrument/stops.h"
#include "endpin/lesson/recipes.h"

namespace endpin {
namespace {

bool sounds(const Phrase& bar) {
  return std::any_of(bar.begin(), bar.end(), [](const LineNote& n) { return !!n.pitch; });
}

// Of `pitches` the one nearest to `to`; nothing of nothing.
std::optional<SpelledPitch> nearest(const std::vector<SpelledPitch>& pitches, int to) {
  const auto best = std::min_element(pitches.begin(), pitches.end(), [&](auto a, auto b) {
    return std::abs(a.midi() - to) < std::abs(b.midi() - to);
  });
  return best == pitches.end() ? std::nullopt : std::optional(*best);
}

// The open strings whose note is in `triad`.
std::vector<SpelledPitch> open_in(const Accompanied& tune, const Triad& triad) {
  std::vector<SpelledPitch> open;
  for (const SpelledPitch string : tune.instrument->strings) {
    if (triad.holds(string)) open.push_back(string);
  }
  return open;
}

// The root, or else the fifth or third, that lies nearest to the note before.
std::optional<SpelledPitch> held_note(const Accompanied& tune, const Triad& triad, int before) {
  for (const std::size_t i : {0U, 2U, 1U}) {
    if (const auto note = nearest(tune.places(triad.notes[i]), before)) return note;
  }
  return std::nullopt;
}

// An open tonic, or fifth; the tonic under the hand; whatever open string is in the tonic's triad.
std::optional<SpelledPitch> one_note(const Accompanied& tune) {
  const SpelledPitch tonic = tune.key.tonic(4);
  const SpelledPitch fifth = tune.key.above(tonic, 4);
  for (const SpelledPitch wanted : {tonic, fifth}) {
    for (const SpelledPitch string : tune.instrument->strings) {
      if (same_class(string, wanted)) return string;
    }
  }
  const auto places = tune.places(tonic);
  return places.empty() ? std::nullopt : std::optional(places.front());
}

}  // namespace

bool Accompanied::playable(SpelledPitch pitch) const {
  return !stops(*instrument, pitch, *reach).empty();
}

std::vector<SpelledPitch> Accompanied::places(SpelledPitch pitch) const {
  std::vector<SpelledPitch> found;
  for (int octave = 0; octave <= 8; ++octave) {
    pitch.octave = octave;
    if (playable(pitch)) found.push_back(pitch);
  }
  return found;
}

std::vector<Phrase> long_notes(const Accompanied& tune) {
  std::vector<Phrase> bars;
  int before = tune.instrument->open(3).midi();
  for (std::size_t i = 0; i < tune.bars.size(); ++i) {
    const Beats whole = length(tune.bars[i]);
    const auto note = held_note(tune, tune.harmony[i], before);
    if (!note || !sounds(tune.bars[i])) {
      bars.push_back({line_rest(whole)});
      continue;
    }
    before = note->midi();
    bars.push_back({line_note(*note, whole)});
  }
  if (std::none_of(bars.begin(), bars.end(), sounds)) return {};
  return bars;
}

std::vector<Phrase> rhythm_on_one_note(const Accompanied& tune) {
  const auto note = one_note(tune);
  if (!note) return {};
  std::vector<Phrase> bars;
  for (const Phrase& bar : tune.bars) bars.push_back(on_one_pitch(bar, *note));
  return bars;
}

std::vector<Phrase> beat_on_open_strings(const Accompanied& tune) {
  std::vector<Phrase> bars;
  int before = tune.instrument->open(2).midi();
  for (std::size_t i = 0; i < tune.bars.size(); ++i) {
    const Beats whole = length(tune.bars[i]);
    const auto string = nearest(open_in(tune, tune.harmony[i]), before);
    if (!string || !sounds(tune.bars[i])) {
      bars.push_back({line_rest(whole)});
      continue;
    }
    before = string->midi();
    Phrase bar;
    for (Beats at; at < whole; at += tune.beats[i]) {
      bar.push_back(line_note(*string, std::min(tune.beats[i], whole - at)));
    }
    bars.push_back(std::move(bar));
  }
  if (std::none_of(bars.begin(), bars.end(), sounds)) return {};
  return bars;
}

}  // namespace endpin
