#pragma once

#include <cmath>
#include <cstddef>
#include <numbers>

#include "endpin/base/audio.h"

/// Sounds and levels for the tests of what happens to a sound on its way.
namespace endpin::simulator {

/// A sine, 44.1 kHz.
inline Audio tone(double hz, double seconds, float level = 0.3F) {
  Audio audio{44100, {}};
  for (int i = 0; i < seconds * 44100; ++i) {
    audio.samples.push_back(
        level * static_cast<float>(std::sin(2 * std::numbers::pi * hz * i / audio.rate)));
  }
  return audio;
}

/// Mean power between two times in seconds, dB of full scale squared.
inline double level_db(const Audio& audio, double from, double to) {
  double power = 1e-20;
  const auto a = static_cast<std::size_t>(from * audio.rate);
  const auto b = static_cast<std::size_t>(to * audio.rate);
  for (auto i = a; i < b; ++i) power += static_cast<double>(audio.samples[i]) * audio.samples[i];
  return 10 * std::log10(power / static_cast<double>(b - a));
}

}  // namespace endpin::simulator
