#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "endpin/base/audio.h"
#include "endpin/base/result.h"
#include "endpin/perform/tone_bank.h"
#include "endpin/timeline/timeline.h"

namespace endpin {

/// One tone of a bank, in seconds of its audio.
struct BankTone {
  Technique technique = Technique::bowed;
  int midi = 60;
  Seconds start;                 ///< the string begins to speak
  Seconds settled;               ///< a slur enters here
  Seconds loop_start, loop_end;  ///< whole periods, seamless; both 0 for a plucked tone
  Seconds end;
  bool operator==(const BankTone&) const = default;
};

/// Few and short tones from which a page can play a piece at any tempo without a server: in tune,
/// of one level, with seamless loops. 24 kHz; as FLAC about 25 kB a second.
struct SoundBank {
  std::string instrument;
  Audio audio;
  std::vector<BankTone> tones;  ///< ascending by technique, then pitch
};

inline constexpr int bank_rate = 24000;

/// The tones of `timeline`, and the tonic and fifth of its drone. Of more than `most` bowed pitches
/// some are left out, evenly: a player shifts the nearest one. Errors: a pitch with no sound.
Result<SoundBank> sound_bank(const Timeline& timeline, ToneBank& tones, std::size_t most = 16);

/// `endpin.bank/1`, docs/schema/bank.schema.json; the audio goes beside it.
std::string bank_to_json(const SoundBank& bank);

}  // namespace endpin
