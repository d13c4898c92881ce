#pragma once

#include <optional>
#include <string_view>

#include "endpin/hearing/hearing.h"

#include "measure/aligned.h"

namespace endpin::listen {

/// Where a count-in before playing begins: three beats or more at even distances, the last of which
/// leads to the first note at `to_s` by the same distance, and that distance a beat, or half or
/// twice one, of the playing that follows (`beat_s`). Empty: none. O(frames).
std::optional<double> count_in_start(const Aligned& aligned, double from_s, double to_s,
                                     double beat_s);

/// Silence, tuning (held open strings), talk (voiced, no pitch held), or other. O(frames).
SegmentKind what_sounds(const Aligned& aligned, double from_s, double to_s,
                        std::string_view instrument);

}  // namespace endpin::listen
