#include "endpin/dsp/fft.h"

#include <cmath>
#include <complex>
#include <numbers>
#include <random>

#include <gtest/gtest.h>

namespace endpin {
namespace {

std::vector<float> noise(std::size_t n) {
  std::mt19937 random(7);
  std::uniform_real_distribution<float> uniform(-1, 1);
  std::vector<float> x(n);
  for (float& v : x) v = uniform(random);
  return x;
}

std::complex<double> definition(const std::vector<float>& x, std::size_t k) {
  std::complex<double> sum = 0;
  for (std::size_t n = 0; n < x.size(); ++n) {
    sum +=
        std::polar(static_cast<double>(x[n]), -2 * std::numbers::pi * static_cast<double>(k * n) /
                                                  static_cast<double>(x.size()));
  }
  return sum;
}

TEST(RealFft, AgreesWithTheDefinitionAtEverySize) {
  for (std::size_t n = 8; n <= 2048; n *= 2) {
    const std::vector<float> x = noise(n);
    RealFft fft(n);
    std::vector<float> re(fft.bins()), im(fft.bins()), power(fft.bins());
    fft.transform(x, re, im);
    fft.power(x, power);
    for (std::size_t k = 0; k < fft.bins(); k += 1 + n / 64) {
      const auto expected = definition(x, k);
      EXPECT_NEAR(re[k], expected.real(), 2e-4 * std::sqrt(n)) << n << ' ' << k;
      EXPECT_NEAR(im[k], expected.imag(), 2e-4 * std::sqrt(n)) << n << ' ' << k;
      EXPECT_NEAR(power[k], std::norm(expected), 1e-3 * static_cast<double>(n));
    }
  }
}

TEST(RealFft, KeepsTheEnergy) {  // Parseval
  const std::vector<float> x = noise(4096);
  RealFft fft(4096);
  std::vector<float> power(fft.bins());
  fft.power(x, power);
  double time = 0, frequency = 0;
  for (float v : x) time += static_cast<double>(v) * v;
  for (std::size_t k = 0; k < power.size(); ++k) {
    frequency += power[k] * (k == 0 || k + 1 == power.size() ? 1.0 : 2.0) / 4096;
  }
  EXPECT_NEAR(frequency / time, 1, 1e-5);
}

}  // namespace
}  // namespace endpin
