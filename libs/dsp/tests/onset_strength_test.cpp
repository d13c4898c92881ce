#include "endpin/dsp/onset_strength.h"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

namespace endpin {
namespace {

constexpr double rate = 24000;
constexpr std::size_t hop = 24;  // 1 ms, to see the time that the measure itself gives

std::vector<OnsetFrame> frames_of(const std::vector<float>& x) {
  OnsetStrength strength(rate);
  std::vector<OnsetFrame> frames;
  for (std::size_t at = 0; at + strength.window() <= x.size(); at += hop) {
    frames.push_back(strength.next(std::span(x).subspan(at, strength.window())));
  }
  return frames;
}

double centre_s(std::size_t frame) {
  return static_cast<double>(frame * hop + OnsetStrength(rate).window() / 2) / rate;
}

TEST(OnsetStrength, MeasuresTheLevelOfASineInDecibels) {
  std::vector<float> x(4800);
  for (std::size_t n = 0; n < x.size(); ++n) {
    x[n] = static_cast<float>(
        0.1 * std::sin(2 * std::numbers::pi * 1000 / rate * static_cast<double>(n)));
  }
  EXPECT_NEAR(frames_of(x).back().level_db, -20, 0.5);
}

TEST(OnsetStrength, RisesMostWhereAToneBegins) {
  std::vector<float> x(24000);
  for (std::size_t n = 12000; n < x.size(); ++n) {
    for (int h = 1; h < 15; ++h) {
      x[n] += static_cast<float>(
          0.1 / h * std::sin(2 * std::numbers::pi * 300 * h / rate * static_cast<double>(n)));
    }
  }
  const auto frames = frames_of(x);
  std::size_t best = 0;
  for (std::size_t i = 0; i < frames.size(); ++i) {
    if (frames[i].flux_db > frames[best].flux_db) best = i;
  }
  EXPECT_NEAR(centre_s(best), 0.5, 0.012);  // half its window
}

// A bowed string moves as Helmholtz (1863) saw it: a sawtooth, one pulse a period.
std::vector<float> sawtooth(double hz) {
  std::vector<float> x(48000);
  for (std::size_t n = 0; n < x.size(); ++n) {
    for (int h = 1; h * hz < 6000; ++h) {
      x[n] += static_cast<float>(
          0.1 / h * std::sin(2 * std::numbers::pi * hz * h / rate * static_cast<double>(n)));
    }
  }
  return x;
}

float strongest_flux(const std::vector<float>& x, OnsetStrength strength) {
  constexpr std::size_t step = 120;  // 5 ms
  float strongest = 0;
  for (std::size_t at = 0; at + strength.window() <= x.size(); at += step) {
    const float flux = strength.next(std::span(x).subspan(at, strength.window())).flux_db;
    if (at > x.size() / 4) strongest = std::max(strongest, flux);
  }
  return strongest;
}

TEST(OnsetStrength, DoesNotTakeThePulsesOfALowStringForBeginnings) {
  for (const double hz : {41.2, 46.2, 55.0, 65.4, 82.4}) {
    const auto x = sawtooth(hz);
    EXPECT_GT(strongest_flux(x, OnsetStrength(rate)), 1) << hz;
    EXPECT_LT(strongest_flux(x, OnsetStrength(rate, 1 / hz)), 0.5) << hz;
  }
}

TEST(OnsetStrength, IsTheSameForNotesThatTheWindowHoldsPeriodsOf) {
  const auto x = sawtooth(220);
  EXPECT_EQ(strongest_flux(x, OnsetStrength(rate)),
            strongest_flux(x, OnsetStrength(rate, 1 / 220.0)));
}

}  // namespace
}  // namespace endpin
