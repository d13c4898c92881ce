#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "endpin/dsp/decimate.h"

namespace endpin::listen {

/// The last seconds of a sound that comes in pieces, at the analysis rate. Sample n stands for the
/// time n / rate_hz() from the first one on. Allocates nothing after construction.
class IncomingSound {
 public:
  /// `longest_window`: of what will be asked for, in seconds.
  IncomingSound(double rate_hz, double longest_window_s);

  double rate_hz() const { return decimated_.rate_hz(); }
  /// How many of `samples` there was room for. Less than all: ask for frames first, then go on.
  std::size_t add(std::span<const float> samples);
  /// Whether all samples around `centre` are there.
  bool has(std::int64_t centre, std::size_t count) const;
  /// REQUIRES: has(centre, count); centres do not descend.
  std::span<const float> around(std::int64_t centre, std::size_t count);

 private:
  void make_room();

  std::vector<float> buffer_;  // at the incoming rate
  DecimatedSound decimated_;   // of buffer_
  std::size_t filled_ = 0;
  std::int64_t first_ = 0;   // analysis-rate number of buffer_[0]
  std::int64_t needed_ = 0;  // the earliest analysis-rate sample that may be asked for
  std::vector<float> window_;
};

}  // namespace endpin::listen
