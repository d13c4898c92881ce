#pragma once

#include <optional>
#include <span>

#include "endpin/listen/listen.h"

#include "backing/uncover.h"
#include "between_stages.h"

/// What of a recording is the player's. A backing is placed in and taken out of the whole
/// recording once; all of that, or parts of it, is heard then.
namespace endpin::listen {

constexpr double shortest_take_s = 2.5;  // ours: a note or two prove nothing

/// Not owned.
struct OwnSound {
  AudioView sound;  ///< without the backing, if that was taken out; its rate may be a lower one
  Seconds length;   ///< as recorded
  double recorded_at_hz = 0;
  const Cover* cover = nullptr;  ///< null: nothing was taken out
};

/// A recording without the backing that is given, if it can be heard in it.
class WithoutBacking {
 public:
  WithoutBacking(AudioView recording, const std::optional<Backing>& backing);
  WithoutBacking(const WithoutBacking&) = delete;  // what it gave out points into it
  WithoutBacking& operator=(const WithoutBacking&) = delete;

  OwnSound own() const;
  /// Where the backing begins in the recording; empty: it was not taken out.
  std::optional<Seconds> backing_at() const;
  /// From where to where it sounds in the recording.
  std::optional<Span> backing_span() const { return span_; }

 private:
  AudioView recording_;
  std::optional<Uncovered> uncovered_;
  std::optional<Span> span_;
};

/// Nobody played beside it.
bool is_backing_alone(const OwnSound& own);
/// Doubts what may be left of the backing, and that what it covered was not played. Times of
/// `hearing` are those of `own`.
void doubt_beside_backing(const OwnSound& own, Hearing& hearing);

/// Hears what is the player's: `options.backing` was seen to already, and `backing_at` of the
/// result is left empty.
Hearing hear_own(std::span<const Timeline> items, const OwnSound& own, const StagedOptions& options,
                 const Progress& progress = {});

}  // namespace endpin::listen
