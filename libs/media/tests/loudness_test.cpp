#include "endpin/media/loudness.h"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

namespace endpin {
namespace {

Audio sine(double frequency, double amplitude, double seconds, int rate = 48000) {
  Audio audio{rate, std::vector<float>(static_cast<std::size_t>(seconds * rate))};
  for (std::size_t i = 0; i < audio.samples.size(); ++i) {
    const double t = static_cast<double>(i) / rate;
    audio.samples[i] =
        static_cast<float>(amplitude * std::sin(2 * std::numbers::pi * frequency * t));
  }
  return audio;
}

// ITU-R BS.1770-4, annex 1: a 0 dBFS sine of 997 Hz on one front channel reads -3.01 LKFS.
TEST(Loudness, ReadsTheCalibrationToneOfTheStandard) {
  const auto loudness = measure_loudness(sine(997, 1.0, 5));
  ASSERT_TRUE(loudness) << loudness.error().line();
  EXPECT_NEAR(loudness->integrated_lufs, -3.01, 0.1);
  EXPECT_NEAR(loudness->true_peak_dbtp, 0.0, 0.2);
}

TEST(Loudness, FallsByTwentyWithATenthOfTheAmplitude) {
  EXPECT_NEAR(measure_loudness(sine(997, 0.1, 5))->integrated_lufs, -23.01, 0.1);
}

TEST(Loudness, OfSilenceLiesBelowTheGate) {
  EXPECT_LE(measure_loudness(Audio{48000, std::vector<float>(48000)})->integrated_lufs, -70);
}

}  // namespace
}  // namespace endpin
