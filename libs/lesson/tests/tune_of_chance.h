#pragma once

#include <random>
#include <string>
#include <vector>

#include "endpin/lesson/material.h"
#include "endpin/lesson/recipes.h"
#include "endpin/score/unfold.h"

namespace endpin {

/// A tune made by chance for the properties: steps through a key, within a step's reach.
struct ChanceTune {
  Score score;
  Timeline timeline;
  const Instrument* instrument = nullptr;
  std::string step;
  Material material() const { return {&score, 0, &timeline, instrument, step}; }
};

inline TimeSignature metre(int beats, int beat_type) {
  TimeSignature time;
  time.beats = beats;
  time.beat_type = beat_type;
  return time;
}

inline Ground chance_ground(const Instrument& instrument, int fifths, bool minor,
                            const TimeSignature& time) {
  Ground ground;
  ground.part.id = "P1";
  ground.part.name = std::string(instrument.name);
  ground.part.transpose.octave_change = -instrument.written_octave;
  ground.key = {fifths, minor ? "minor" : "major"};
  ground.time = time;
  const bool treble = instrument.clef == ClefName::treble;
  const bool alto = instrument.clef == ClefName::alto;
  ground.clef.sign = treble ? ClefSign::g : alto ? ClefSign::c : ClefSign::f;
  ground.clef.line = treble ? 2 : alto ? 3 : 4;
  return ground;
}

/// Every note of the key that the step reaches, ascending, sounding.
inline std::vector<SpelledPitch> reachable(const Instrument& instrument, std::string_view step,
                                           const ScaleKey& key) {
  std::vector<SpelledPitch> pitches;
  for (int i = 0; i < 50; ++i) {
    const SpelledPitch pitch = key.above(key.tonic(0), i);
    if (!stops(instrument, pitch, reach(instrument, step)).empty()) pitches.push_back(pitch);
  }
  return pitches;
}

inline ChanceTune chance_tune(unsigned seed, const Instrument& instrument, std::string step,
                              int fifths, bool minor, const TimeSignature& time, int bars = 8) {
  std::mt19937 random(seed);
  const auto below = [&](int n) { return static_cast<int>(random() % static_cast<unsigned>(n)); };
  const ScaleKey key{fifths, minor};
  const Ground ground = chance_ground(instrument, fifths, minor, time);
  const std::vector<SpelledPitch> pitches = reachable(instrument, step, key);
  Phrase line;
  int place = below(static_cast<int>(pitches.size()));
  const Beats end = time.bar_length() * Beats(bars);
  while (length(line) < end) {
    constexpr int eighths[] = {1, 1, 2, 2, 2, 3, 4};
    const Beats wanted(eighths[below(7)], 2);
    const Beats used = length(line) / time.bar_length();
    const Beats into(used.numerator() % used.denominator(), used.denominator());
    const Beats left = time.bar_length() * (Beats(1) - into);
    const SpelledPitch pitch = pitches[static_cast<std::size_t>(place)];
    line.push_back(line_note(written_pitch(pitch, ground.part.transpose), std::min(wanted, left)));
    if (below(12) == 0) line.back().pitch.reset();
    place = std::clamp(place + below(5) - 2, 0, static_cast<int>(pitches.size()) - 1);
  }
  line.front().pitch = written_pitch(pitches.front(), ground.part.transpose);
  ChanceTune tune;
  tune.score = exercise_score(ground, lay_into_bars({line}, time), "n");
  tune.timeline = timeline(tune.score, 0, instrument.name).value();
  tune.instrument = &instrument;
  tune.step = std::move(step);
  return tune;
}

}  // namespace endpin
