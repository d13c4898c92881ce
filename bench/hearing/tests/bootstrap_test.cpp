#include "bootstrap.h"

#include <gtest/gtest.h>

namespace endpin::measures {
namespace {

TEST(Bootstrap, MedianAndQuantilesFollowTheRanks) {
  EXPECT_DOUBLE_EQ(median({5, 1, 3}), 3);
  EXPECT_DOUBLE_EQ(median({4, 1, 3, 2}), 2.5);
  EXPECT_DOUBLE_EQ(quantile({0, 10}, 0.25), 2.5);
}

// The normal approximation of a proportion's standard error is sqrt(p (1 - p) / n).
TEST(Bootstrap, SpreadsAProportionAsItsStandardErrorSays) {
  std::vector<Share> shares;
  for (int i = 0; i < 400; ++i) shares.push_back({i % 5 == 0 ? 0.0 : 1.0, 1.0});
  const auto interval = proportion_interval(shares, 1);
  EXPECT_NEAR(interval.low, 0.8 - 1.96 * 0.02, 0.01);
  EXPECT_NEAR(interval.high, 0.8 + 1.96 * 0.02, 0.01);
}

TEST(Bootstrap, AFewTakesThatHangTogetherSpreadWiderThanTheirNotes) {
  std::vector<Share> takes{{100, 100}, {100, 100}, {100, 100}, {20, 100}};
  std::vector<Share> notes;
  for (int i = 0; i < 400; ++i) notes.push_back({i < 320 ? 1.0 : 0.0, 1.0});
  const auto by_take = proportion_interval(takes, 1);
  const auto by_note = proportion_interval(notes, 1);
  EXPECT_GT(by_take.high - by_take.low, 3 * (by_note.high - by_note.low));
}

// Hanley & Lippman-Hand 1983: no event in n trials leaves room for a rate of 3 / n.
TEST(Bootstrap, NoEventLeavesRoomByTheRuleOfThree) {
  const std::vector<Share> none(300, Share{0, 1});
  EXPECT_NEAR(proportion_interval(none, 1).high, 0.01, 1e-12);
  const std::vector<Share> all(300, Share{1, 1});
  EXPECT_NEAR(proportion_interval(all, 1).low, 0.99, 1e-12);
}

TEST(Bootstrap, SameSeedGivesTheSameInterval) {
  const std::vector<double> values{1, 5, 2, 8, 3, 9, 4};
  EXPECT_EQ(median_interval(values, 3).low, median_interval(values, 3).low);
  EXPECT_EQ(median_interval(values, 3).high, median_interval(values, 3).high);
}

}  // namespace
}  // namespace endpin::measures
