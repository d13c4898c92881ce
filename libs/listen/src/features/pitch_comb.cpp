#include "features/pitch_comb.h"

#include <algorithm>
#include <cmath>

namespace endpin::listen {
namespace {

constexpr int harmonics = 12;
constexpr double harmonic_decay = 0.85;
// A partial within 50 cents counts whole, one beyond 80 not at all: a player may be 55 cents off,
// the next semitone is 100 away (ours).
constexpr double whole_within_cents = 50, none_beyond_cents = 80;
constexpr float halves_share = 0.5F, thirds_share = 0.35F;  // ours, from analytic tones
// What others play stands between a note's harmonics as well: of support so much of it is taken
// away, enough to tell octaves (ours, from simulated ensembles).
constexpr float between_in_support = 0.15F;

float closeness(double cents) {
  const double away = std::abs(cents);
  if (away <= whole_within_cents) return 1;
  if (away >= none_beyond_cents) return 0;
  return static_cast<float>((none_beyond_cents - away) / (none_beyond_cents - whole_within_cents));
}

}  // namespace

CombRange comb_range(int lowest_midi, int highest_midi) {
  constexpr int lowest_looked_for = 22, around = 13;
  const int lowest = std::max(lowest_looked_for, lowest_midi - around);
  return {lowest, std::max(lowest, highest_midi + around)};
}

std::vector<PitchComb::Tooth> PitchComb::positive_teeth(int count) {
  std::vector<Tooth> teeth;
  double weight = 1;
  for (int h = 1; h <= count; ++h, weight *= harmonic_decay) {
    teeth.push_back({12 * std::log2(h), static_cast<float>(weight)});
  }
  return teeth;
}

std::vector<PitchComb::Tooth> PitchComb::negative_teeth() {
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

PitchComb::PitchComb(int lowest_midi, int highest_midi, const Evidence& uses, Weighing weighing)
    : lowest_(lowest_midi),
      width_(static_cast<std::size_t>(highest_midi - lowest_midi + 1)),
      weighing_(weighing),
      up_(positive_teeth(in_use(uses).overtones ? harmonics : 1)),
      down_(in_use(uses).between ? negative_teeth() : std::vector<Tooth>()),
      strongest_(width_ * up_.size()) {
  for (const Tooth& t : up_) total_ += t.weight;
}

void PitchComb::add(const SmallPartial& p, double shift_cents, std::span<float> row) {
  const double midi = partial_midi(p) - shift_cents / 100;
  const float weight = static_cast<float>(weighed(p, weighing_)) / 255.0F;
  const auto each = [&](const Tooth& tooth, auto&& use) {
    const double at = midi - tooth.semitones - lowest_;
    if (at <= -1 || at >= static_cast<double>(width_)) return;
    // A floor of what is above −1 costs less than std::floor.
    const std::size_t above = static_cast<std::size_t>(at + 1);
    const double cents = 100 * (at + 1 - static_cast<double>(above));  // from the semitone below
    const auto give = [&](std::size_t semitone, double away) {
      const float close = closeness(away);
      if (close > 0) use(semitone, close * weight * tooth.weight);
    };
    if (above > 0) give(above - 1, cents);
    if (above < width_) give(above, 100 - cents);
  };
  for (std::size_t h = 0; h < up_.size(); ++h) {
    each(up_[h], [&](std::size_t i, float value) {
      float& s = strongest_[i * up_.size() + h];
      s = std::max(s, value);
    });
  }
  for (const Tooth& t : down_) {
    each(t, [&](std::size_t i, float value) { row[i] -= value; });
  }
}

float PitchComb::sum_at(std::size_t i, float against) const {
  // Harmonics above the partials' range cannot be there: a high note is judged by fewer.
  float sum = 0, possible = 0;
  for (std::size_t h = 0; h < up_.size(); ++h) {
    const double at = lowest_ + static_cast<double>(i) + up_[h].semitones;
    if (h >= 2 && at > 113) break;
    sum += strongest_[i * up_.size() + h];
    possible += up_[h].weight;
  }
  return std::max(0.0F, (sum + against) / std::max(possible, 0.6F * total_));
}

CombPeak PitchComb::salience(std::span<const SmallPartial> partials, double shift_cents,
                             std::span<float> row, std::span<float> support) {
  std::fill(strongest_.begin(), strongest_.end(), 0.0F);
  std::fill(row.begin(), row.end(), 0.0F);
  for (const SmallPartial& p : partials) add(p, shift_cents, row);
  CombPeak peak{lowest_, 0};
  for (std::size_t i = 0; i < width_; ++i) {
    if (!support.empty()) support[i] = sum_at(i, between_in_support * row[i]);
    row[i] = sum_at(i, row[i]);
    if (row[i] > peak.salience) peak = {lowest_ + static_cast<int>(i), row[i]};
  }
  return peak;
}

}  // namespace endpin::listen
