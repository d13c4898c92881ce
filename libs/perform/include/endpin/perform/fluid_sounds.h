#pragma once

#include <memory>
#include <string>

#include "endpin/perform/sounds.h"

namespace endpin {

/// The General MIDI sound font that setup installs (fluid-soundfont-gm).
inline constexpr const char* default_sound_font = "/usr/share/sounds/sf2/FluidR3_GM.sf2";

/// Solo strings of a General MIDI sound font, played by FluidSynth without reverb and chorus;
/// plucked ones are modelled (plucked_string.h). One object for one thread at a time.
class FluidSounds : public Sounds {
 public:
  /// `instrument`: "violin", "viola", "cello", "bass". Only the samples that are used are loaded.
  /// Errors (machine): no such file, or no sound font.
  static Result<std::unique_ptr<FluidSounds>> open(
      const std::string& instrument, const std::string& sound_font = default_sound_font);
  ~FluidSounds() override;

  Result<std::vector<float>> sound(Technique technique, int midi, std::size_t count) override;

 private:
  struct Synth;
  explicit FluidSounds(std::unique_ptr<Synth> synth);
  std::unique_ptr<Synth> synth_;
};

}  // namespace endpin
