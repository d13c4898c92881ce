#pragma once

#include <optional>
#include <span>
#include <vector>

#include "endpin/dsp/spectrum.h"

#include "features/fading.h"
#include "features/sound_features.h"

namespace endpin::listen {

/// What stands for a weight of 255 in one frame: powers to the sixth root.
struct Strongest {
  float sounding = 0;  ///< of `SmallPartial::weight`
  float played = 0;    ///< of `SmallPartial::played`
};

/// Takes the strongest partials out of the sound around one moment, 40 at most. Allocates nothing
/// after construction where the list that it appends to has room.
class PartialTaker {
 public:
  /// `slow_rate_hz`: of the same sound for a second, longer window below 350 Hz, which parts the
  /// partials of low notes; empty: none. `step_s`: from one moment to the next; empty: what dies
  /// away is not told, and `played` is `weight`.
  PartialTaker(double rate_hz, std::optional<double> slow_rate_hz, std::optional<double> step_s);

  std::size_t window() const { return short_.spectrum.window(); }  ///< samples
  /// Samples at the slow rate; 0: none are asked for.
  std::size_t long_window() const { return long_ ? long_->spectrum.window() : 0; }

  /// `around(count)`, `slow_around(count)`: so many samples around the moment, at either rate.
  /// Appends to `into`, ascending by frequency below and above 350 Hz.
  template <typename F, typename G>
  Strongest take(F&& around, G&& slow_around, std::vector<SmallPartial>& into) {
    found_.clear();
    if (long_) look(*long_, slow_around(long_->spectrum.window()));
    look(short_, around(short_.spectrum.window()));
    return keep_strongest(into);
  }

 private:
  struct Window {
    Spectrum spectrum;
    PartialFinder finder;
    std::optional<Fading> fading;
  };
  struct Found : Partial {
    float played = 0;  // power, see Fading
  };

  static Window window(double window_s, double rate_hz, double from_hz, double to_hz,
                       std::optional<double> step_s);
  void look(Window& window, std::span<const float> samples);
  Strongest keep_strongest(std::vector<SmallPartial>& into);

  Window short_;
  std::optional<Window> long_;
  std::vector<Partial> partials_;
  std::vector<float> then_;
  std::vector<Found> found_;
};

}  // namespace endpin::listen
