#pragma once

#include <optional>

#include "align/observations.h"

namespace endpin::listen {

/// Where a tone ends, and the standard error of that.
struct ToneEnd {
  double at_s = 0;
  double doubt_s = 0;
};

/// Seconds at which the bow leaves `midi`, which began at `onset_s`, told by the level of its own
/// partials alone: noise and other tones do not hide it. A dip after which the tone comes back ends
/// nothing. Where it sinks shortly before the next note begins, a turning bow and a short rest look
/// alike: the end is then put between the two. `next_s` where it hardly sinks. Empty: too short to
/// say. O(frames · partials).
std::optional<ToneEnd> tone_end(const Observations& seen, int midi, double onset_s, double next_s,
                                double shift_cents);

}  // namespace endpin::listen
