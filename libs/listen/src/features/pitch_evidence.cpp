#include "features/pitch_evidence.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "features/pitch_comb.h"

namespace endpin::listen {
PitchEvidence::PitchEvidence(const SoundFeatures& sound, int lowest_midi, int highest_midi,
                             double shift_cents)
    : lowest_(lowest_midi), width_(static_cast<std::size_t>(highest_midi - lowest_midi + 1)) {
  const std::size_t frames = sound.pitch_frames();
  strongest_ = sound.strongest;
  salience_.assign(frames * width_, 0.0F);
  best_.assign(frames, 0.0F);
  best_midi_.assign(frames, static_cast<std::int16_t>(lowest_midi));
  PitchComb comb(lowest_midi, highest_midi);
  for (std::size_t frame = 0; frame < frames; ++frame) {
    const auto row = std::span(salience_).subspan(frame * width_, width_);
    const CombPeak peak = comb.salience(sound.partials_at(frame), shift_cents, row);
    best_[frame] = peak.salience;
    best_midi_[frame] = static_cast<std::int16_t>(peak.midi);
  }
}

float PitchEvidence::rise(std::size_t frame, int midi) const {
  constexpr std::size_t nearest = 2, furthest = 4;
  constexpr float least_share = 0.3F;  // a comb weaker than that is a chance of partials (ours)
  if (frame < furthest || frame + furthest >= frames()) return 0;
  const auto loudness = [&](std::size_t f) { return salience(f, midi) * strongest_[f]; };
  float grown = 0, top = 1e-9F;
  for (std::size_t i = nearest; i <= furthest; ++i) {
    grown += loudness(frame + i) - loudness(frame - i);
    top = std::max({top, loudness(frame + i), least_share * strongest_[frame + i]});
  }
  return grown / (top * static_cast<float>(furthest - nearest + 1));
}

double tuning_cents(const SoundFeatures& sound) {
  double sine = 0, cosine = 0;
  for (const SmallPartial& p : sound.partials) {
    const double midi = partial_midi(p);
    if (midi < 50 || midi > 88 || p.clarity < 20) continue;
    const double weight = p.weight / 255.0 * p.clarity;
    const double angle = 2 * std::numbers::pi * midi;
    sine += weight * std::sin(angle);
    cosine += weight * std::cos(angle);
  }
  if (sine == 0 && cosine == 0) return 0;
  return 100 * std::atan2(sine, cosine) / (2 * std::numbers::pi);
}

}  // namespace endpin::listen
