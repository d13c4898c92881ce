#pragma once

#include <functional>
#include <optional>
#include <span>
#include <string>

#include "endpin/base/units.h"
#include "endpin/hearing/hearing.h"
#include "endpin/timeline/timeline.h"

/// From known notes and a recording to what was played. Pure functions: no files, no clock, no
/// threads; the same input gives the same hearing.
namespace endpin {

/// One channel of sound, not owned. Full scale is ±1; values that are not finite count as silence.
struct AudioView {
  std::span<const float> samples;
  double sample_rate_hz = 0;  ///< 8,000 to 192,000

  Seconds length() const {
    return Seconds(sample_rate_hz > 0 ? static_cast<double>(samples.size()) / sample_rate_hz : 0);
  }
};

/// Printed bar numbers, both inclusive, in every pass.
struct BarRange {
  std::string from;
  std::string to;
};

/// Sound that was played to the student and may be heard in the recording: a click, a play-along.
struct Backing {
  AudioView audio;
  std::optional<Seconds> at;  ///< where it starts in the recording; empty: to be found
};

struct HearOptions {
  std::optional<Bpm> tempo_hint;  ///< quarters a minute; empty: found from half to double
  std::optional<Hertz> a4;        ///< empty: found between 430 and 446
  std::optional<BarRange> bars;   ///< only these can have been played
  /// Taken out before anything is heard. `backing_at` of the result is empty where it can't be
  /// heard in the recording: nothing was taken out then.
  std::optional<Backing> backing;
};

/// Samples a second of a recording that can be heard.
constexpr bool is_hearable_rate(double hz) { return hz >= 8000 && hz <= 192000; }

/// Called now and then with the fraction done, 0…1, on the caller's thread.
using Progress = std::function<void(double)>;

/// Hears `recording` as a playing of `items` (a scale, a drill, the piece: any of them, in any
/// order, whole or in part). `notes` of the result holds the notes of all items, one item after the
/// other. Its `findings` are empty: see findings.h. Never fails: what cannot be used says so in
/// `status`. A take that sounds an octave from what is written is heard as if it did not, and
/// `reference.octaves` says so. Time O(length · log notes) in practice; memory below 100 kB for a
/// second of sound.
Hearing hear(std::span<const Timeline> items, AudioView recording, const HearOptions& options = {},
             const Progress& progress = {});

}  // namespace endpin
