#include "endpin/dsp/decimate.h"

#include <cmath>
#include <limits>
#include <numbers>

#include <gtest/gtest.h>

namespace endpin {
namespace {

std::vector<float> sine(double hz, double rate, std::size_t count) {
  std::vector<float> x(count);
  for (std::size_t n = 0; n < count; ++n) {
    x[n] = static_cast<float>(std::sin(2 * std::numbers::pi * hz * static_cast<double>(n) / rate));
  }
  return x;
}

TEST(DecimatedSound, KeepsALowToneInPlaceAndInTime) {
  const auto x = sine(440, 48000, 48000);
  const DecimatedSound sound(x, 48000);
  EXPECT_EQ(sound.rate_hz(), 24000);
  std::vector<float> out(200);
  sound.read(10000, out);
  for (std::size_t i = 0; i < out.size(); ++i) {
    const double t = static_cast<double>(10000 + i) / 24000;
    EXPECT_NEAR(out[i], std::sin(2 * std::numbers::pi * 440 * t), 1e-3);
  }
}

TEST(DecimatedSound, LetsNothingFoldBackBelowTenKilohertz) {
  for (const double hz : {14500.0, 16000.0, 20000.0}) {  // would fold to 9.5, 8 and 4 kHz
    const auto x = sine(hz, 48000, 48000);
    std::vector<float> out(2000);
    DecimatedSound(x, 48000).read(10000, out);
    float loudest = 0;
    for (float v : out) loudest = std::max(loudest, std::abs(v));
    EXPECT_LT(loudest, 1e-3) << hz;
  }
}

TEST(DecimatedSound, KeepsTheTimeOfALowToneAtAMuchLowerRate) {
  const auto x = sine(65.4, 48000, 48000);
  const DecimatedSound sound(x, 48000, 3000);
  EXPECT_EQ(sound.rate_hz(), 3000);
  std::vector<float> out(200);
  sound.read(1000, out);
  for (std::size_t i = 0; i < out.size(); ++i) {
    const double t = static_cast<double>(1000 + i) / 3000;
    EXPECT_NEAR(out[i], std::sin(2 * std::numbers::pi * 65.4 * t), 1e-3);
  }
}

TEST(DecimatedSound, LeavesLowRatesAsTheyAreAndIsSilentOutside) {
  const std::vector<float> x{1, 2, 3};
  const DecimatedSound sound(x, 22050);
  std::vector<float> out(5);
  sound.read(-1, out);
  EXPECT_EQ(out, (std::vector<float>{0, 1, 2, 3, 0}));
}

TEST(DecimatedSound, TakesWhatIsNotANumberAsSilence) {
  std::vector<float> x(4000, std::numeric_limits<float>::quiet_NaN());
  x[7] = std::numeric_limits<float>::infinity();
  std::vector<float> out(1000);
  DecimatedSound(x, 96000).read(0, out);
  for (float v : out) EXPECT_EQ(v, 0);
}

}  // namespace
}  // namespace endpin
