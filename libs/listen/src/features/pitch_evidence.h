#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "evidence.h"
#include "features/pitch_comb.h"
#include "features/sound_features.h"

namespace endpin::listen {

/// For every pitch frame and every semitone of a range: how well a harmonic comb of that pitch
/// explains the partials there, against the best rival.
///
/// Salience of pitch p: Σ_h 0.85^(h−1) · w(partial nearest h·f) / Σ_h 0.85^(h−1), less what lies at
/// the odd halves and thirds of its harmonics, which would belong to a lower pitch (a harmonic sum
/// in the manner of Klapuri 2006, eq. 1, on compressed partials). Evidence: a natural logarithm,
/// 0 for the best pitch of the frame, falling with the distance in salience.
///
/// Salience tells which pitch sounds alone. Where others play as well, their partials stand at
/// those halves and thirds, and the softer of two tones loses its salience though all its harmonics
/// are there: support is the same sum with hardly anything taken away.
class PitchEvidence {
 public:
  /// `shift_cents`: the tuning, cents of A4 above 440 Hz. `weighing`: of all that sounds, or less
  /// what only dies away. O(partials · harmonics).
  PitchEvidence(const SoundFeatures& sound, int lowest_midi, int highest_midi, double shift_cents,
                const Evidence& uses = {}, Weighing weighing = Weighing::sounding);

  int lowest() const { return lowest_; }
  int highest() const { return lowest_ + static_cast<int>(width_) - 1; }
  std::size_t frames() const { return best_.size(); }
  /// 0…1: salience of `midi`; 0 outside the range.
  float salience(std::size_t frame, int midi) const { return at(salience_, frame, midi); }
  /// 0…1: how much of the comb of `midi` stands, whatever else sounds; 0 outside the range.
  float support(std::size_t frame, int midi) const { return at(support_, frame, midi); }
  float best_support(std::size_t frame) const { return best_support_[frame]; }
  /// How suddenly `midi` grows around a frame, whatever else sounds: the loudness (power to the
  /// sixth root) of its comb 20 to 40 ms after against before, over the greater; −1…1.
  float rise(std::size_t frame, int midi) const;
  /// The greatest rise of the frames from `first` to `last`, of those that there are; 0 at least.
  float greatest_rise(std::size_t first, std::size_t last, int midi) const;
  /// 0…1: the comb of `midi` lies 8 to 16 dB below what it grows to at once. A beginning is heard,
  /// and marked by people, nearer to its full level (Vos & Rasch 1981: 6 to 15 dB below it).
  float swelling(std::size_t frame, int midi) const;
  /// Power of the comb of `midi` to the sixth root, whatever else sounds; 0 outside the range.
  float loudness(std::size_t frame, int midi) const {
    return support(frame, midi) * strongest_[frame];
  }
  float best(std::size_t frame) const { return best_[frame]; }
  /// 0…1: of what sounds strongly, by compressed weight, whatever the weighing, the share that is
  /// no harmonic of the best pitch: what others play, or what rings on.
  float beside_best(std::size_t frame) const {
    return static_cast<float>(beside_best_[frame]) / 255;
  }
  int best_midi(std::size_t frame) const { return best_midi_[frame]; }

 private:
  int lowest_;
  std::size_t width_;
  static constexpr float whole = 65535;

  float at(const std::vector<std::uint16_t>& values, std::size_t frame, int midi) const {
    const int i = midi - lowest_;
    if (i < 0 || i >= static_cast<int>(width_)) return 0;
    return static_cast<float>(values[frame * width_ + static_cast<std::size_t>(i)]) / whole;
  }

  std::vector<std::uint16_t> salience_, support_;  // of `whole`
  std::vector<float> strongest_;
  std::vector<float> best_, best_support_;
  std::vector<std::int16_t> best_midi_;
  std::vector<std::uint8_t> beside_best_;
};

/// Cents of A4 above 440 Hz from all partials: the circular mean of their distances to equal
/// temperament, each weighted. Within ±50; good to a few cents where the player is in tune.
double tuning_cents(const SoundFeatures& sound);

}  // namespace endpin::listen
