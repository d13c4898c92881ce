#pragma once

#include <memory>
#include <optional>
#include <span>

#include "endpin/base/units.h"
#include "endpin/timeline/timeline.h"

/// Following a playing while it goes on. The model of the score and of tempo is that of `hear`, and
/// so are the partials and what a frame of them says; what takes hindsight is left out, and going
/// back costs more. For a cursor, never for a verdict.
namespace endpin {

struct LiveOptions {
  std::optional<Bpm> tempo_hint;  ///< quarters a minute; empty: the score's
  std::optional<Hertz> a4;        ///< empty: found as it sounds
};

/// Where the player is.
struct LivePlace {
  int index = -1;         ///< the note that began last; -1: none yet, or not known where
  Seconds onset;          ///< when it began, from the first sample on
  Seconds heard;          ///< up to here the sound has been understood
  double confidence = 0;  ///< 0…1: share of what is likely that agrees on the place, to one note
  int jumps = 0;          ///< times that playing went on elsewhere, up to here
  std::optional<double> quarters_a_minute;
};

/// One player, one item. Takes sound in pieces of any size. Latency: half a window (40 ms; 80 ms
/// for an item with notes below G2) and a step of 10 ms. Nothing is allocated after construction:
/// fit for an audio thread. One thread at a time.
class LiveFollower {
 public:
  /// REQUIRES: 8,000 ≤ sample_rate_hz ≤ 192,000.
  LiveFollower(const Timeline& timeline, double sample_rate_hz, const LiveOptions& options = {});
  ~LiveFollower();
  LiveFollower(LiveFollower&&) noexcept;
  LiveFollower& operator=(LiveFollower&&) noexcept;

  /// One channel, full scale ±1; what is not finite counts as silence.
  /// O(samples + frames · notes).
  void take(std::span<const float> samples);
  const LivePlace& place() const;

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace endpin
