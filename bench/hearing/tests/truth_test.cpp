#include "truth.h"

#include <gtest/gtest.h>

#include "scores.h"

namespace endpin::measures {
namespace {

/// A pickup quarter, then a full bar that begins with a unison of two voices.
Timeline with_pickup_and_unison() {
  Timeline timeline;
  timeline.notes = {quarter(0, 0, 62), quarter(1, 1, 62), quarter(2, 1, 62), quarter(3, 2, 64)};
  timeline.bars = {{"0", 0, 1, Beats(0), Beats(1), 4, 4}, {"1", 1, 1, Beats(1), Beats(4), 4, 4}};
  return timeline;
}

TEST(Truth, CountsPositionsFromTheFirstFullBarAndKeepsUnisonsTogether) {
  const auto notes = read_truth(
      "onset_s,offset_s,midi,score_position_quarters,complete\n"
      "1.25,2.19,62,0.0,1\n2.19,2.5,64,1.0,0\n",
      with_pickup_and_unison());
  ASSERT_TRUE(notes.has_value()) << notes.error().line();
  ASSERT_EQ(notes->size(), 2u);
  EXPECT_EQ((*notes)[0].indices, (std::vector{1, 2}));
  EXPECT_EQ((*notes)[1].indices, (std::vector{3}));
  EXPECT_TRUE((*notes)[0].complete);
  EXPECT_FALSE((*notes)[1].complete);
  EXPECT_DOUBLE_EQ((*notes)[1].onset.value(), 2.19);
}

TEST(Truth, TakesAnIndexWhereThereIsOne) {
  const auto notes =
      read_truth("index,midi,onset_s,offset_s\n3,64,1,2\n", with_pickup_and_unison());
  ASSERT_TRUE(notes.has_value());
  EXPECT_EQ((*notes)[0].indices, (std::vector{3}));
}

TEST(Truth, NamesTheLineThatDoesNotFit) {
  const auto other =
      read_truth("index,midi,onset_s,offset_s\n3,65,1,2\n", with_pickup_and_unison());
  ASSERT_FALSE(other.has_value());
  EXPECT_EQ(other.error().place, "2");
  EXPECT_FALSE(read_truth("index,midi,onset_s\n3,64,1\n", with_pickup_and_unison()).has_value());
  EXPECT_FALSE(
      read_truth("index,midi,onset_s,offset_s\n3,64,x,2\n", with_pickup_and_unison()).has_value());
}

}  // namespace
}  // namespace endpin::measures
