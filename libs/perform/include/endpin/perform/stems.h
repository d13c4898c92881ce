#pragma once

#include <span>
#include <vector>

#include "endpin/base/audio.h"
#include "endpin/base/result.h"
#include "endpin/perform/perform.h"
#include "endpin/perform/tone_bank.h"
#include "endpin/timeline/timeline.h"

namespace endpin {

/// What a performance is mixed from, each alone and before its level is set: rendered once, mixed
/// often. All of one length, at `performance_rate`, on one clock.
struct Stems {
  std::vector<float> part;
  std::vector<float> drone;
  std::vector<float> count_in;  ///< its clicks
  std::vector<float> click;     ///< the clicks from the first bar on
  Performance performance;      ///< its times; without audio
};

/// Renders the stems of `timeline`. PerformOptions::drone, click and count_in_bars say which are
/// wanted (the others are silence); the part always sounds. Errors are those of `perform`.
Result<Stems> stems(const Timeline& timeline, const PerformOptions& options, ToneBank& tones);

using Layer = std::span<const float>;

/// The sum of `heard` with the gain that brings the sum of `measured` to `loudness_lufs`, its true
/// peaks held below `true_peak_dbtp`. REQUIRES: layers of one length, `measured` not empty.
Audio mix(std::span<const Layer> heard, std::span<const Layer> measured, double loudness_lufs = -16,
          double true_peak_dbtp = -1);

}  // namespace endpin
