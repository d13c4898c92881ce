#pragma once

#include <optional>
#include <string>
#include <vector>

#include "endpin/base/audio.h"
#include "endpin/base/result.h"
#include "endpin/perform/performed_note.h"
#include "endpin/perform/tone_bank.h"
#include "endpin/timeline/timeline.h"

namespace endpin {

/// What is to be heard, and how.
struct PerformOptions {
  std::optional<double> beats_per_minute;  ///< of Timeline::beat_unit; unset: the timeline's tempo
  std::string first_bar, last_bar;         ///< printed numbers, both played; empty: from end to end
  bool part = true;                        ///< the notes themselves
  bool click = false;                      ///< every beat, the first of a bar accented
  bool drone = false;                      ///< tonic and fifth, softly
  int count_in_bars = 0;  ///< full bars of clicks, and then the beats that a pickup leaves open
  SoundingFractions fractions;
  double loudness_lufs = -16;  ///< of the whole with the part in it (ITU-R BS.1770)
  double true_peak_dbtp = -1;  ///< never above
};

/// When a note sounds in Performance::audio.
struct NoteTime {
  int index = 0;  ///< of the timeline
  Seconds start;
  Seconds end;  ///< of its written value: a cursor leaves it here
  bool operator==(const NoteTime&) const = default;
};

struct ClickTime {
  Seconds at;
  bool accented = false;
  bool count_in = false;
  bool operator==(const ClickTime&) const = default;
};

struct BarTime {
  std::string bar;  ///< printed number
  int pass = 1;
  Seconds start;
  bool operator==(const BarTime&) const = default;
};

struct Performance {
  Audio audio;
  Seconds count_in;  ///< when the first bar begins
  double beats_per_minute = 0;
  std::vector<NoteTime> notes;
  std::vector<ClickTime> clicks;  ///< those that are heard
  std::vector<BarTime> bars;      ///< those that are played
};

/// Lowest and highest tempo that is performed, in beats a minute.
inline constexpr double slowest_beat = 10;
inline constexpr double fastest_beat = 400;

/// Performs `timeline`. The same input gives the same samples. The level is that of the performance
/// with its part even where the part is left out, so that a click is as loud with it as without.
/// Errors: bars that are not there, no notes in them, a tempo out of range, a pitch with no sound.
Result<Performance> perform(const Timeline& timeline, const PerformOptions& options,
                            ToneBank& tones);

/// `endpin.times/1`, for a cursor that follows the sound: docs/schema/times.schema.json.
std::string times_to_json(const Performance& performance);

}  // namespace endpin
