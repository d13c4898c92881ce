#include "features/pitch_evidence.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace endpin::listen {
namespace {

// Share of the strong partials' weight that is no harmonic of `midi`. Of all that sounds: what
// others play is beside also where it fades (of what is played, more of it was called the
// student's).
float share_beside(std::span<const SmallPartial> partials, double midi) {
  constexpr int strong = 115;  // of 255, sixth roots of power: 21 dB below the frame's strongest
  constexpr double widest_cents = 50;
  float all = 0, beside = 0;
  for (const SmallPartial& p : partials) {
    if (p.weight < strong) continue;
    const double ratio = std::exp2((partial_midi(p) - midi) / 12);
    const double nearest = std::max(1.0, std::round(ratio));
    all += p.weight;
    if (std::abs(1200 * std::log2(ratio / nearest)) > widest_cents) beside += p.weight;
  }
  return all > 0 ? beside / all : 0;
}

}  // namespace

PitchEvidence::PitchEvidence(const SoundFeatures& sound, int lowest_midi, int highest_midi,
                             double shift_cents, const Evidence& uses, Weighing weighing)
    : lowest_(lowest_midi), width_(static_cast<std::size_t>(highest_midi - lowest_midi + 1)) {
  const std::size_t frames = sound.pitch_frames();
  strongest_ = weighing == Weighing::played ? sound.strongest_played : sound.strongest;
  salience_.resize(frames * width_);
  support_.resize(frames * width_);
  best_.assign(frames, 0.0F);
  best_support_.assign(frames, 0.0F);
  best_midi_.assign(frames, static_cast<std::int16_t>(lowest_midi));
  beside_best_.resize(frames);
  PitchComb comb(lowest_midi, highest_midi, uses, weighing);
  std::vector<float> row(width_), support(width_);
  const auto part = [](float x) { return static_cast<std::uint16_t>(std::min(1.0F, x) * whole); };
  for (std::size_t frame = 0; frame < frames; ++frame) {
    const CombPeak peak = comb.salience(sound.partials_at(frame), shift_cents, row, support);
    best_[frame] = peak.salience;
    best_midi_[frame] = static_cast<std::int16_t>(peak.midi);
    const float beside = share_beside(sound.partials_at(frame), peak.midi + shift_cents / 100);
    beside_best_[frame] = static_cast<std::uint8_t>(255 * beside);
    best_support_[frame] = *std::max_element(support.begin(), support.end());
    const auto first = static_cast<std::ptrdiff_t>(frame * width_);
    std::transform(row.begin(), row.end(), salience_.begin() + first, part);
    std::transform(support.begin(), support.end(), support_.begin() + first, part);
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

float PitchEvidence::greatest_rise(std::size_t first, std::size_t last, int midi) const {
  float greatest = 0;
  for (std::size_t f = first; f <= std::min(last, frames() - 1); ++f) {
    greatest = std::max(greatest, rise(f, midi));
  }
  return greatest;
}

float PitchEvidence::swelling(std::size_t frame, int midi) const {
  constexpr std::size_t begun = 4, grown = 12;  // frames after: 40 ms, and what it grows to by 120
  constexpr float heard = 0.736F, hardly = 0.541F;  // sixth roots of 8 and of 16 dB below in power
  if (frame + grown >= frames()) return 0;
  const float now = loudness(frame + begun, midi);
  float top = 1e-9F;
  for (std::size_t i = begun; i <= grown; ++i) top = std::max(top, loudness(frame + i, midi));
  return std::clamp((heard - now / top) / (heard - hardly), 0.0F, 1.0F);
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
