#pragma once

#include <optional>
#include <span>
#include <vector>

#include "endpin/dsp/spectrum.h"

#include "features/sound_features.h"

namespace endpin::listen {

/// Takes the strongest partials out of the sound around one moment, 40 at most. Allocates nothing
/// after construction where the list that it appends to has room.
class PartialTaker {
 public:
  /// `slow_rate_hz`: of the same sound for a second, longer window below 350 Hz, which parts the
  /// partials of low notes; empty: none.
  PartialTaker(double rate_hz, std::optional<double> slow_rate_hz);

  std::size_t window() const { return spectrum_.window(); }  ///< samples
  /// Samples at the slow rate; 0: none are asked for.
  std::size_t long_window() const { return long_spectrum_ ? long_spectrum_->window() : 0; }

  /// `around(count)`, `slow_around(count)`: so many samples around the moment, at either rate.
  /// Appends to `into`, ascending by frequency below and above 350 Hz; returns the sixth root of
  /// the strongest partial's power.
  template <typename F, typename G>
  float take(F&& around, G&& slow_around, std::vector<SmallPartial>& into) {
    found_.clear();
    if (long_spectrum_) {
      long_finder_->find(long_spectrum_->power(slow_around(long_spectrum_->window())), found_);
    }
    finder_.find(spectrum_.power(around(spectrum_.window())), found_);
    return keep_strongest(into);
  }

 private:
  float keep_strongest(std::vector<SmallPartial>& into);

  Spectrum spectrum_;
  PartialFinder finder_;
  std::optional<Spectrum> long_spectrum_;
  std::optional<PartialFinder> long_finder_;
  std::vector<Partial> found_;
};

}  // namespace endpin::listen
