#pragma once

#include <cstddef>
#include <vector>

#include "align/score_model.h"
#include "evidence.h"
#include "features/pitch_evidence.h"
#include "features/sound_features.h"

namespace endpin::listen {

/// Of Observations::beside(): more than that lies beside what is written where others play, and
/// their beginnings lie everywhere (ours, from simulated ensembles and rooms).
inline constexpr double much_beside = 0.3;

/// What every frame says about every set of pitches, as natural logarithms of a likelihood against
/// that of the best pitch of the frame: 0 is as good as can be.
class Observations {
 public:
  Observations(const SoundFeatures& sound, const PitchEvidence& pitch, const Evidence& uses = {});

  double step_s() const { return sound_.pitch_step_s(); }
  std::size_t frames() const { return pitch_.frames(); }
  const SoundFeatures& sound() const { return sound_; }
  const PitchEvidence& pitch() const { return pitch_; }
  /// What may be asked of them.
  const Evidence& uses() const { return in_use(uses_); }

  /// One pitch sounds, whatever else does: only its neighbours, and by less its octaves and the
  /// best of all, speak against it. −4…0.
  float stands(std::size_t frame, int midi) const;
  /// The event's notes sound.
  float playing(const Event& event, std::size_t frame) const;
  /// The event's notes have just begun while those of the event before ring on.
  /// Very low where the two share their partials.
  float beginning(const Event& event, const Event& before, std::size_t frame) const;
  /// Nothing new sounds: silence, or what rang on.
  float gap(std::size_t frame) const { return gap_[frame]; }
  /// Some tone that the score does not tell.
  float other(std::size_t frame) const { return other_[frame]; }
  /// Anything: talk, noise, tuning.
  float anything(std::size_t frame) const { return anything_[frame]; }
  /// 0…1: what sounds has begun but lies far below what it grows to at once. A soft beginning is
  /// heard, and marked by people, near its full level (Vos & Rasch 1981: 6 to 15 dB below it).
  float swelling(std::size_t frame) const { return swelling_[frame]; }
  /// 0…1: partials stand further above their surroundings than noise has them. What is loud without
  /// is a room, a gain control that opens in a rest, or a bow that scratches.
  float tonal(std::size_t frame) const { return tonal_[frame]; }
  bool quiet(std::size_t frame) const { return quiet_[frame] != 0; }
  /// What sounds is dying away: a room or a string after the bow has left it.
  bool ringing(std::size_t frame) const { return ringing_[frame] != 0; }
  /// Share of the time between two times in which it is quiet or only rings. 1 where none lies
  /// there.
  double silent_share(double from_s, double to_s) const;
  /// 0…1: how much sounds strongly beside the pitch that stands out, in the mean of the take.
  double beside() const { return beside_; }
  double playing_level_db() const { return playing_level_db_; }
  double floor_db() const { return floor_db_; }

 private:
  void find_ringing();
  void find_swelling();
  void find_tonal();
  bool rests_at_the_floor() const;
  float level_db(std::size_t frame) const {
    return sound_.onset[std::min(2 * frame, sound_.onset.size() - 1)].level_db;
  }
  float explains(std::size_t frame, int midi) const;

  const SoundFeatures& sound_;
  const PitchEvidence& pitch_;
  Evidence uses_;
  double playing_level_db_ = -90, floor_db_ = -90, beside_ = 0;
  std::vector<float> tonal_, swelling_, gap_, other_, anything_;
  std::vector<unsigned char> quiet_, ringing_;
};

/// A moment at which a note may begin.
struct Candidate {
  std::size_t frame = 0;  ///< of the onset grid
  float strength = 0;     ///< logarithm of how much likelier it is as a beginning than not
  float time_s = 0;
};

/// Peaks of onset strength and of the change of pitch, and fillers so that no two are further
/// apart than 110 ms; at least 35 ms apart. The first stands at 0, the last at the end.
std::vector<Candidate> candidates(const SoundFeatures& sound, const PitchEvidence& pitch,
                                  const Evidence& uses = {});

}  // namespace endpin::listen
