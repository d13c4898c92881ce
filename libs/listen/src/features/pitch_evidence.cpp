#include "features/pitch_evidence.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace endpin::listen {
namespace {

constexpr int harmonics = 12;
constexpr double harmonic_decay = 0.85;
// A partial within 50 cents counts whole, one beyond 80 not at all: a player may be 55 cents off,
// the next semitone is 100 away (ours).
constexpr double whole_within_cents = 50, none_beyond_cents = 80;
constexpr float halves_share = 0.5F, thirds_share = 0.35F;  // ours, from analytic tones

struct Tooth {
  double semitones;  // above the fundamental
  float weight;
};

std::vector<Tooth> positive_teeth() {
  std::vector<Tooth> teeth;
  double weight = 1;
  for (int h = 1; h <= harmonics; ++h, weight *= harmonic_decay) {
    teeth.push_back({12 * std::log2(h), static_cast<float>(weight)});
  }
  return teeth;
}

std::vector<Tooth> negative_teeth() {
  std::vector<Tooth> teeth;
  double weight = 1;
  for (int h = 1; h <= 6; ++h, weight *= harmonic_decay) {
    teeth.push_back({12 * std::log2(h - 0.5), halves_share * static_cast<float>(weight)});
  }
  weight = 1;
  for (int h = 1; h <= 4; ++h, weight *= harmonic_decay) {
    teeth.push_back({12 * std::log2(h - 2.0 / 3), thirds_share * static_cast<float>(weight) / 2});
    teeth.push_back({12 * std::log2(h - 1.0 / 3), thirds_share * static_cast<float>(weight) / 2});
  }
  return teeth;
}

float closeness(double cents) {
  const double away = std::abs(cents);
  if (away <= whole_within_cents) return 1;
  if (away >= none_beyond_cents) return 0;
  return static_cast<float>((none_beyond_cents - away) / (none_beyond_cents - whole_within_cents));
}

}  // namespace

PitchEvidence::PitchEvidence(const SoundFeatures& sound, int lowest_midi, int highest_midi,
                             double shift_cents)
    : lowest_(lowest_midi), width_(static_cast<std::size_t>(highest_midi - lowest_midi + 1)) {
  const std::size_t frames = sound.pitch_frames();
  strongest_ = sound.strongest;
  salience_.assign(frames * width_, 0.0F);
  best_.assign(frames, 0.0F);
  best_midi_.assign(frames, static_cast<std::int16_t>(lowest_midi));
  const auto up = positive_teeth(), down = negative_teeth();
  std::vector<float> strongest(width_ * up.size());
  float total = 0;
  for (const Tooth& t : up) total += t.weight;

  for (std::size_t frame = 0; frame < frames; ++frame) {
    float* row = salience_.data() + frame * width_;
    std::fill(strongest.begin(), strongest.end(), 0.0F);
    for (const SmallPartial& p : sound.partials_at(frame)) {
      const double midi = partial_midi(p) - shift_cents / 100;
      const float weight = static_cast<float>(p.weight) / 255.0F;
      const auto each = [&](const Tooth& tooth, auto&& use) {
        const double at = midi - tooth.semitones - lowest_;
        const double below = std::floor(at);
        for (const double semitone : {below, below + 1}) {
          if (semitone < 0 || semitone >= static_cast<double>(width_)) continue;
          const float close = closeness(100 * (at - semitone));
          if (close > 0) use(static_cast<std::size_t>(semitone), close * weight * tooth.weight);
        }
      };
      for (std::size_t h = 0; h < up.size(); ++h) {
        each(up[h], [&](std::size_t i, float value) {
          float& s = strongest[i * up.size() + h];
          s = std::max(s, value);
        });
      }
      for (const Tooth& t : down) {
        each(t, [&](std::size_t i, float value) { row[i] -= value; });
      }
    }
    for (std::size_t i = 0; i < width_; ++i) {
      // Harmonics above the partials' range cannot be there: a high note is judged by fewer.
      float sum = 0, possible = 0;
      for (std::size_t h = 0; h < up.size(); ++h) {
        const double at = lowest_ + static_cast<double>(i) + up[h].semitones;
        if (h >= 2 && at > 113) break;
        sum += strongest[i * up.size() + h];
        possible += up[h].weight;
      }
      row[i] = std::max(0.0F, (sum + row[i]) / std::max(possible, 0.6F * total));
      if (row[i] > best_[frame]) {
        best_[frame] = row[i];
        best_midi_[frame] = static_cast<std::int16_t>(lowest_ + static_cast<int>(i));
      }
    }
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
