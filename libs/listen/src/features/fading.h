#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "endpin/dsp/spectrum.h"

namespace endpin::listen {

/// Tells the partials that are only dying away, in a room or on a string, from those that are
/// played: a bow keeps its tone up. Spectra follow each other by `step_s`; each is compared with
/// the one about a cycle of vibrato before, so that the swings of level that come with vibrato
/// cancel. Allocates nothing after construction.
class Fading {
 public:
  /// `highest_hz`: of the partials that are asked for.
  Fading(double bin_hz, std::size_t bins, double highest_hz, double step_s);

  /// Writes what each partial that was found in the spectrum `power` had then, as a power, 0 where
  /// nothing was, into as many places of `then`. Then remembers the spectrum.
  void look_back(std::span<const float> power, std::span<const Partial> found,
                 std::span<float> then);

  /// The power of a partial less what it loses by dying away. New ones and those that are held lose
  /// nothing.
  static float played(float power, float then);

 private:
  double bin_hz_;
  std::size_t bins_, frames_, at_ = 0;
  std::vector<float> before_;  // [frame][bin], a ring
};

}  // namespace endpin::listen
