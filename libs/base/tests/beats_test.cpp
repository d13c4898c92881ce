#include "endpin/base/beats.h"

#include <cstdint>

#include <gtest/gtest.h>

namespace endpin {
namespace {

TEST(Beats, ThreeTripletEighthsAreExactlyAQuarter) {
  const Beats third(1, 3);
  EXPECT_EQ(third + third + third, Beats(1));
}

TEST(Beats, AreReducedWithAPositiveDenominator) {
  EXPECT_EQ(Beats(6, -4).text(), "-3/2");
  EXPECT_EQ(Beats(4, 2).text(), "2");
}

TEST(Beats, AreOrderedByValue) {
  EXPECT_LT(Beats(1, 3), Beats(1, 2));
  EXPECT_GT(Beats(1, 3), Beats(-1, 2));
}

TEST(Beats, ParseWhatTheyWrite) {
  for (const Beats b : {Beats(0), Beats(-7, 3), Beats(5), Beats(1, 960)}) {
    EXPECT_EQ(Beats::parse(b.text()), b);
  }
  for (const char* bad : {"", "1/0", "1/", "/2", "a", "1/2x"}) EXPECT_FALSE(Beats::parse(bad));
}

TEST(Beats, BoundsWhatAFileMayBringIn) {
  EXPECT_FALSE(Beats::bounded(1, 10'000'000'000));
  EXPECT_FALSE(Beats::bounded(1, 0));
  EXPECT_EQ(Beats::bounded(2'000'000'000, 2'000'000'000), Beats(1));
}

TEST(Beats, ArithmeticAgreesWithDoubles) {
  const Beats a(7, 12);
  const Beats b(-5, 8);
  EXPECT_NEAR((a + b).to_double(), 7.0 / 12 - 5.0 / 8, 1e-12);
  EXPECT_NEAR((a - b).to_double(), 7.0 / 12 + 5.0 / 8, 1e-12);
  EXPECT_NEAR((a * b).to_double(), 7.0 / 12 * -5.0 / 8, 1e-12);
  EXPECT_NEAR((a / b).to_double(), 7.0 / 12 / (-5.0 / 8), 1e-12);
}

}  // namespace
}  // namespace endpin
