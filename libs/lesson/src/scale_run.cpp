#include "scale_run.h"

#include <algorithm>
#include <cmath>

namespace endpin {
namespace {

double mean_midi(const Timeline& timeline) {
  double sum = 0;
  for (const TimelineNote& note : timeline.notes) sum += note.midi;
  return timeline.notes.empty() ? 60 : sum / static_cast<double>(timeline.notes.size());
}

// The piece leads its minor key upward with the raised seventh.
bool raises_seventh(const Material& material, const ScaleKey& key) {
  if (!key.minor) return false;
  const SpelledPitch seventh = key.above(key.tonic(4), 6, true);
  return std::any_of(material.timeline->notes.begin(), material.timeline->notes.end(),
                     [&](const TimelineNote& note) {
                       return note.spelled.step == seventh.step &&
                              note.spelled.alter == seventh.alter;
                     });
}

ScaleRun run_from(const ScaleKey& key, SpelledPitch start, int first, int count, bool raised) {
  ScaleRun run;
  for (int i = 0; i < count; ++i) run.up.push_back(key.above(start, first + i, raised));
  for (int i = count - 1; i >= 0; --i) run.down.push_back(key.above(start, first + i, false));
  return run;
}

bool playable(const Material& material, const ScaleRun& run) {
  const auto all = [&](const std::vector<SpelledPitch>& pitches) {
    return std::all_of(pitches.begin(), pitches.end(),
                       [&](SpelledPitch pitch) { return material.playable(pitch); });
  };
  return all(run.up) && all(run.down);
}

// From the tonic, `count` notes, in the octave that lies nearest to the piece.
ScaleRun from_tonic(const Material& material, const ScaleKey& key, int count, bool raised) {
  ScaleRun best;
  double best_distance = 1e9;
  for (int octave = 0; octave <= 7; ++octave) {
    ScaleRun run = run_from(key, key.tonic(octave), 0, count, raised);
    if (!playable(material, run)) continue;
    const double middle = 0.5 * (run.up.front().midi() + run.up.back().midi());
    const double distance = std::abs(middle - mean_midi(*material.timeline));
    if (distance < best_distance) {
      best_distance = distance;
      best = std::move(run);
    }
  }
  return best;
}

// The longest run of neighbours that starts anywhere, of no more than an octave.
ScaleRun longest(const Material& material, const ScaleKey& key, bool raised) {
  ScaleRun best;
  const SpelledPitch low = key.tonic(0);
  for (int first = 0; first < 7 * 8; ++first) {
    for (int count = 8; count >= 3; --count) {
      if (count <= static_cast<int>(best.up.size())) break;
      ScaleRun run = run_from(key, low, first, count, raised);
      if (playable(material, run)) best = std::move(run);
    }
  }
  return best;
}

}  // namespace

ScaleRun playable_scale(const Material& material) {
  const ScaleKey key = key_of(material);
  for (const bool raised : {raises_seventh(material, key), false}) {
    for (const int count : {8, 5}) {
      ScaleRun run = from_tonic(material, key, count, raised);
      run.octave = count == 8;
      if (!run.up.empty()) return run;
    }
  }
  return longest(material, key, false);
}

}  // namespace endpin
