#pragma once

#include <cstddef>
#include <vector>

#include "features/sound_features.h"

namespace endpin::listen {

/// For every pitch frame and every semitone of a range: how well a harmonic comb of that pitch
/// explains the partials there, against the best rival.
///
/// Salience of pitch p: Σ_h 0.85^(h−1) · w(partial nearest h·f) / Σ_h 0.85^(h−1), less what lies at
/// the odd halves and thirds of its harmonics, which would belong to a lower pitch (a harmonic sum
/// in the manner of Klapuri 2006, eq. 1, on compressed partials). Evidence: a natural logarithm,
/// 0 for the best pitch of the frame, falling with the distance in salience.
class PitchEvidence {
 public:
  /// `shift_cents`: the tuning, cents of A4 above 440 Hz. O(partials · harmonics).
  PitchEvidence(const SoundFeatures& sound, int lowest_midi, int highest_midi, double shift_cents);

  int lowest() const { return lowest_; }
  int highest() const { return lowest_ + static_cast<int>(width_) - 1; }
  std::size_t frames() const { return best_.size(); }
  /// 0…1: salience of `midi`; 0 outside the range.
  float salience(std::size_t frame, int midi) const {
    const int i = midi - lowest_;
    if (i < 0 || i >= static_cast<int>(width_)) return 0;
    return salience_[frame * width_ + static_cast<std::size_t>(i)];
  }
  /// How suddenly `midi` grows around a frame, whatever else sounds: the loudness (power to the
  /// sixth root) of its comb 20 to 40 ms after against before, over the greater; −1…1.
  float rise(std::size_t frame, int midi) const;
  float best(std::size_t frame) const { return best_[frame]; }
  int best_midi(std::size_t frame) const { return best_midi_[frame]; }

 private:
  int lowest_;
  std::size_t width_;
  std::vector<float> salience_;
  std::vector<float> strongest_;
  std::vector<float> best_;
  std::vector<std::int16_t> best_midi_;
};

/// Cents of A4 above 440 Hz from all partials: the circular mean of their distances to equal
/// temperament, each weighted. Within ±50; good to a few cents where the player is in tune.
double tuning_cents(const SoundFeatures& sound);

}  // namespace endpin::listen
