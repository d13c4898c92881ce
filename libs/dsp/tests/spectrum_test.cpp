#include "endpin/dsp/spectrum.h"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

namespace endpin {
namespace {

TEST(FastLog, IsGoodToOneInTenThousand) {
  for (float x = 1e-20F; x < 1e20F; x *= 1.37F) EXPECT_NEAR(fast_log(x), std::log(x), 1.5e-4) << x;
  EXPECT_NEAR(sixth_root(64), 2, 0.002);
  EXPECT_EQ(sixth_root(0), 0);
}

std::vector<Partial> partials_of_tone(double f0, int harmonics, double window_s, double rate) {
  Spectrum spectrum(window_s, rate);
  std::vector<float> x(spectrum.window());
  for (std::size_t n = 0; n < x.size(); ++n) {
    for (int h = 1; h <= harmonics; ++h) {
      const double phase = 2 * std::numbers::pi * f0 * h * static_cast<double>(n) / rate + h * h;
      x[n] += static_cast<float>(std::sin(phase) / h);
    }
  }
  std::vector<Partial> found;
  PartialFinder(spectrum.bin_hz(), spectrum.bins(), 40, 5500).find(spectrum.power(x), found);
  return found;
}

TEST(PartialFinder, PlacesEachHarmonicOfASteadyToneWithinOneCent) {
  for (const double f0 : {98.0, 196.0, 440.0, 1318.5}) {
    const auto found = partials_of_tone(f0, 6, f0 < 190 ? 0.16 : 0.08, 24000);
    for (int h = 1; h <= 6 && f0 * h < 5000; ++h) {
      double nearest = 1e9;
      for (const Partial& p : found) {
        if (p.prominence > 6) {
          nearest = std::min(nearest, std::abs(1200 * std::log2(p.hz / (f0 * h))));
        }
      }
      EXPECT_LT(nearest, 1.0) << f0 << " harmonic " << h;
    }
  }
}

TEST(PartialFinder, MeasuresASinesPower) {
  const auto found = partials_of_tone(1000, 1, 0.08, 24000);
  float power = 0;
  for (const Partial& p : found) power = std::max(power, p.power);
  EXPECT_NEAR(power, 1, 0.02);
}

}  // namespace
}  // namespace endpin
