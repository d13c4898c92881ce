#include "reliability.h"

#include <gtest/gtest.h>

namespace endpin::measures {
namespace {

TEST(Reliability, AProbabilityThatIsKeptHasNoError) {
  std::vector<Claim> claims;
  for (int i = 0; i < 100; ++i) claims.push_back({0.85, i < 85});
  EXPECT_NEAR(calibration_error(reliability(claims)), 0, 1e-9);
}

TEST(Reliability, AnOverconfidentOneIsOffByWhatItOverstates) {
  std::vector<Claim> claims;
  for (int i = 0; i < 100; ++i) claims.push_back({0.95, i < 65});
  EXPECT_NEAR(calibration_error(reliability(claims)), 0.3, 1e-9);
}

TEST(Reliability, CertaintyFallsIntoTheLastBin) {
  const auto bins = reliability({{1.0, true}, {0.0, false}});
  EXPECT_EQ(bins.back().claims, 1);
  EXPECT_EQ(bins.front().claims, 1);
}

TEST(Reliability, IsDrawnWithAMarkForEachBinThatHasClaims) {
  const std::string drawing =
      reliability_drawing(reliability({{0.95, true}, {0.92, true}, {0.15, false}}));
  std::size_t marks = 0;
  for (auto at = drawing.find("<circle"); at != std::string::npos;
       at = drawing.find("<circle", at + 1)) {
    ++marks;
  }
  EXPECT_EQ(marks, 2U);
}

}  // namespace
}  // namespace endpin::measures
