#include "clicks.h"

#include <gtest/gtest.h>

#include "tune.h"

namespace endpin {
namespace {

using testing_tunes::quarters;
using testing_tunes::tune;

ScoreRange whole(const Timeline& timeline) { return *score_range(timeline, "", ""); }

std::vector<std::string> places(const std::vector<Beat>& beats) {
  std::vector<std::string> out;
  for (const Beat& beat : beats) out.push_back(beat.at.text() + (beat.accented ? ">" : ""));
  return out;
}

TEST(CountIn, IsAFullBarBeforeATuneThatBeginsOnTheBeat) {
  const Timeline timeline = tune(quarters(50, 8));
  const auto in = count_in(timeline, whole(timeline), 1);
  EXPECT_EQ(places(in), (std::vector<std::string>{"-4>", "-3", "-2", "-1"}));
}

// A pickup of one beat in 4/4: one full bar, then three beats that it leaves open.
TEST(CountIn, GoesOnThroughTheBeatsThatAPickupLeavesOpen) {
  const Timeline timeline = tune(quarters(50, 5), Beats(1));
  const auto in = count_in(timeline, whole(timeline), 1);
  EXPECT_EQ(places(in), (std::vector<std::string>{"-7>", "-6", "-5", "-4", "-3>", "-2", "-1"}));
}

TEST(CountIn, CountsDottedQuartersInSixEight) {
  Timeline timeline = tune({{50, Beats(1, 2)}, {52, Beats(3)}});
  timeline.beat_unit = Beats(3, 2);
  timeline.bars = {{"0", 0, 1, Beats(0), Beats(1, 2), 6, 8},
                   {"1", 1, 1, Beats(1, 2), Beats(3), 6, 8}};
  const auto in = count_in(timeline, whole(timeline), 1);
  EXPECT_EQ(places(in), (std::vector<std::string>{"-11/2>", "-4", "-5/2>", "-1"}));
}

TEST(CountIn, IsPlainBarsFromTheMiddleOfAPiece) {
  const Timeline timeline = tune(quarters(50, 9), Beats(1));
  const auto range = score_range(timeline, "2", "2");
  ASSERT_TRUE(range);
  EXPECT_EQ(places(count_in(timeline, *range, 1)), (std::vector<std::string>{"1>", "2", "3", "4"}));
}

TEST(Clicks, AccentTheFirstBeatOfEachBarAndNoPickup) {
  const Timeline timeline = tune(quarters(50, 6), Beats(1));
  EXPECT_EQ(places(beats(timeline, whole(timeline))),
            (std::vector<std::string>{"0", "1>", "2", "3", "4", "5>", "6", "7", "8"}));
}

TEST(ScoreRange, NamesTheBarsThatAreThere) {
  const Timeline timeline = tune(quarters(50, 8));
  const auto range = score_range(timeline, "7", "9");
  ASSERT_FALSE(range);
  EXPECT_EQ(range.error().line(), "bar 7: there is no such bar. This part has bars 1 to 2.");
}

TEST(ScoreRange, RefusesBarsWithoutNotes) {
  Timeline timeline = tune(quarters(50, 8));
  timeline.bars.push_back({"3", 2, 1, Beats(8), Beats(4), 4, 4});
  EXPECT_FALSE(score_range(timeline, "3", "3"));
  EXPECT_FALSE(score_range(timeline, "2", "1"));
}

}  // namespace
}  // namespace endpin
