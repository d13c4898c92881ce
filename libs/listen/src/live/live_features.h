#pragma once

#include <array>
#include <vector>

#include "endpin/dsp/onset_strength.h"

#include "features/partial_taker.h"
#include "features/pitch_comb.h"
#include "live/incoming_sound.h"

namespace endpin::listen {

/// What one moment says, from the past alone.
struct LiveFrame {
  double time_s = 0;
  float onset = -2;  ///< log likelihood ratio of a beginning here or just before
  bool quiet = true;
  CombPeak best;
};

/// The features of `hear` frame by frame, 10 ms apart, of all that sounds, each against the last
/// seconds instead of the whole take. Allocates nothing after construction.
class LiveFeatures {
 public:
  /// `a4_shift_cents`: empty: found as it sounds.
  LiveFeatures(double rate_hz, int lowest_midi, int highest_midi,
               std::optional<double> a4_shift_cents);

  std::size_t add(std::span<const float> samples) { return sound_.add(samples); }
  /// The next frame, if its sound is there.
  bool next(LiveFrame& frame);
  /// Saliences of the last frame; 0 outside the range.
  float salience(int midi) const;

 private:
  float onset_evidence(std::int64_t centre);
  void follow_level(float level_db);
  void follow_tuning();
  float usual_flux();

  static constexpr std::size_t remembered = 64;  // every third of two seconds' fine frames

  IncomingSound sound_;
  std::int64_t step_ = 0, frame_ = 0;
  OnsetStrength strength_;
  PartialTaker taker_;
  PitchComb comb_;
  bool tuning_given_ = false;
  double shift_cents_ = 0, sine_ = 0, cosine_ = 0;
  std::vector<SmallPartial> partials_;
  std::vector<float> row_;
  std::array<float, remembered> flux_{}, sorted_{};
  std::size_t flux_count_ = 0, fine_frames_ = 0;
  float playing_db_ = -200, floor_db_ = 0, level_db_ = -200;
};

}  // namespace endpin::listen
