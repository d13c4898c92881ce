#pragma once

#include <cstddef>
#include <vector>

#include "endpin/base/result.h"

namespace endpin {

/// Samples a second of everything that is performed.
inline constexpr int performance_rate = 48000;

enum class Technique { bowed, plucked };

/// Where single sounds come from: a sound font, a folder of recordings. As raw as they are: they
/// may be out of tune, uneven and slow to speak, `ToneBank` mends that.
class Sounds {
 public:
  virtual ~Sounds() = default;
  /// `count` samples from the beginning of the sound at `midi`, at performance_rate. A longer call
  /// begins with the same samples as a shorter one. Plucked sounds may die away earlier.
  /// Errors: nothing sounds at this pitch.
  virtual Result<std::vector<float>> sound(Technique technique, int midi, std::size_t count) = 0;
};

}  // namespace endpin
