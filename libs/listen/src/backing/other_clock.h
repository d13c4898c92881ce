#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "endpin/dsp/decimate.h"

namespace endpin::listen {

/// A sound read at another rate: between its samples by a sinc of 24 taps in a Blackman
/// window, which also keeps out what the other rate can't hold.
class OtherClock {
 public:
  /// Sample 0 of what is read stands `start_s` seconds into `sound`, one follows another by `step`
  /// of its samples. `sound` is not copied. REQUIRES: step > 0.
  OtherClock(const DecimatedSound& sound, double start_s, double step);

  /// Samples from, from + 1, …; outside of the sound: 0. O(out.size()).
  void read(std::int64_t from, std::span<float> out);

 private:
  static constexpr int taps = 24, phases = 128;

  const DecimatedSound& sound_;
  double start_, step_;
  std::vector<float> table_;  // [phase][tap], one phase more than there are
  std::vector<float> source_;
};

}  // namespace endpin::listen
