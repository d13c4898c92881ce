#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "endpin/perform/sounds.h"

namespace endpin {

/// One recorded note.
struct RecordedSound {
  std::string name;  ///< for messages
  Technique technique = Technique::bowed;
  int midi = 60;
  std::vector<float> samples;  ///< at performance_rate
};

/// Recorded notes as a source of sounds. Between them the nearest one is read faster or slower, up
/// to `farthest_shift` semitones; a bowed one goes round in its middle for as long as it is needed.
class RecordedSounds : public Sounds {
 public:
  static constexpr int farthest_shift = 5;

  /// Errors: none at all; one that is too short (bowed 1 s, plucked 0.2 s), silent, or at another
  /// pitch than it is named (a semitone or two; 60 cents are mended later).
  static Result<RecordedSounds> make(std::vector<RecordedSound> recordings);

  Result<std::vector<float>> sound(Technique technique, int midi, std::size_t count) override;

 private:
  struct Looped {
    RecordedSound recording;
    std::size_t loop_start = 0, loop_end = 0;  // both 0: plays once
  };
  explicit RecordedSounds(std::vector<Looped> sounds) : sounds_(std::move(sounds)) {}
  const Looped* nearest(Technique technique, int midi) const;

  std::vector<Looped> sounds_;
};

}  // namespace endpin
