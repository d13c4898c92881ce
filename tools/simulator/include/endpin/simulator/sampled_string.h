#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "endpin/simulator/sound.h"

namespace endpin::simulator {

/// A recorded sustained note and what its file says it is.
struct RecordedNote {
  Audio audio;
  int midi = 60;
};

/// What was found in a recording: its real pitch and a stretch that can be held as long as wanted.
struct MeasuredNote {
  static constexpr double step_s = 0.01;
  Audio audio;                ///< level evened out over 100 ms
  double hz = 0;              ///< in the middle
  std::vector<double> track;  ///< Hz, one each `step_s` from the sound's start: its vibrato, too
  double start_s = 0;         ///< the tone stands
  double loop_from_s = 0;     ///< at loop_to the waveform looks most as here
  double loop_to_s = 0;
};
/// Pitch by autocorrelation within a semitone and a half of `midi`, so that files that are out of
/// tune or mislabelled by a semitone are told as they sound. Empty: no steady second in it.
std::optional<MeasuredNote> measure_note(const RecordedNote& note);

/// Strokes of recorded tone: one note is held and its speed of reading glides, so that a slur is
/// one bow on one string. The nearest recording to a stroke's mean pitch is taken; its own vibrato
/// and drift are read away, so that what is asked for sounds.
/// REQUIRES: at least one note can be measured.
std::unique_ptr<Sound> sampled_string(const std::vector<RecordedNote>& notes);

}  // namespace endpin::simulator
