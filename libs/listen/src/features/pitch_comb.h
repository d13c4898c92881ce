#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "evidence.h"
#include "features/sound_features.h"

namespace endpin::listen {

/// What of the partials is looked at: all that sounds, or less what is only dying away (see
/// Fading): a bow keeps its tone up.
enum class Weighing { sounding, played };
inline int weighed(const SmallPartial& p, Weighing weighing) {
  return weighing == Weighing::played ? p.played : p.weight;
}

/// Semitones by MIDI, both inclusive.
struct CombRange {
  int lowest;
  int highest;
};
/// An octave and a semitone around what is written, from the lowest tone that is looked for on;
/// never empty. 0 ≤ lowest_midi ≤ highest_midi ≤ 127.
CombRange comb_range(int lowest_midi, int highest_midi);

/// The pitch whose comb explains a frame best.
struct CombPeak {
  int midi = 0;
  float salience = 0;
};

/// The harmonic comb of every semitone of a range over the partials of one frame; what it computes
/// is described at PitchEvidence. Allocates nothing after construction.
class PitchComb {
 public:
  /// REQUIRES: lowest_midi ≤ highest_midi. `weighing`: which of the partials' weights is taken.
  PitchComb(int lowest_midi, int highest_midi, const Evidence& uses = {},
            Weighing weighing = Weighing::sounding);
  explicit PitchComb(CombRange range) : PitchComb(range.lowest, range.highest) {}

  /// Semitones of the range.
  std::size_t width() const { return width_; }
  int lowest() const { return lowest_; }
  /// Writes the salience of each semitone, 0…1, into `row`, which holds width() values.
  /// `shift_cents`: the tuning, cents of A4 above 440 Hz. `support`: of as many values, or empty:
  /// the same, but hardly lessened by what lies between the harmonics. O(partials · harmonics).
  CombPeak salience(std::span<const SmallPartial> partials, double shift_cents,
                    std::span<float> row, std::span<float> support = {});

 private:
  struct Tooth {
    double semitones;  ///< above the fundamental
    float weight;
  };
  static std::vector<Tooth> positive_teeth(int count);
  static std::vector<Tooth> negative_teeth();
  void add(const SmallPartial& partial, double shift_cents, std::span<float> row);
  float sum_at(std::size_t semitone, float against) const;

  int lowest_;
  std::size_t width_;
  Weighing weighing_;
  std::vector<Tooth> up_, down_;
  std::vector<float> strongest_;  // [semitone][harmonic]
  float total_ = 0;
};

}  // namespace endpin::listen
