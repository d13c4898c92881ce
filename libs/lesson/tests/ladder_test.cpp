#include "endpin/lesson/ladder.h"

#include <cmath>

#include <gtest/gtest.h>

namespace endpin {
namespace {

bool on_series(double per_minute) { return nearest_mark(per_minute) == per_minute; }

TEST(Ladder, ClimbsFromAboutHalfTheGoalOnTheSeries) {
  const Ladder ladder = plan_ladder({.goal_per_minute = 80, .length = Beats(64), .minutes = 20});
  ASSERT_EQ(ladder.rungs.size(), 5u);
  EXPECT_GE(ladder.rungs.front().per_minute, 40);
  EXPECT_LE(ladder.rungs.front().per_minute, 48);
  EXPECT_EQ(ladder.rungs.back().per_minute, 80);
  EXPECT_FALSE(ladder.from_heard);
}

TEST(Ladder, StartsFromTheTempoThatWasHeardClean) {
  const Ladder ladder = plan_ladder(
      {.goal_per_minute = 80, .clean_per_minute = 66, .length = Beats(64), .minutes = 20});
  EXPECT_EQ(ladder.rungs.front().per_minute, 66);
  EXPECT_TRUE(ladder.from_heard);
}

TEST(Ladder, IsOneRungOnceTheGoalWasHeardClean) {
  const Ladder ladder = plan_ladder({.goal_per_minute = 80, .clean_per_minute = 92});
  ASSERT_EQ(ladder.rungs.size(), 1u);
  EXPECT_EQ(ladder.rungs[0].per_minute, 80);
}

TEST(Ladder, ClicksTheEighthsOfASlowDottedBeat) {
  const Ladder ladder =
      plan_ladder({.beat_unit = Beats(3, 2), .goal_per_minute = 52, .minutes = 20});
  EXPECT_EQ(ladder.beat_unit, Beats(1, 2));
  EXPECT_EQ(ladder.rungs.back().per_minute, 156);
  EXPECT_GE(ladder.rungs.front().per_minute, 78);
}

TEST(Ladder, AscendsOnMarksForEveryGoalAndKeepsToTheMinutesWhereItCan) {
  for (double goal = 30; goal <= 220; goal += 1) {
    for (const int length : {8, 64, 400}) {
      const Ladder ladder = plan_ladder({.goal_per_minute = goal, .length = Beats(length)});
      ASSERT_FALSE(ladder.rungs.empty());
      ASSERT_LE(ladder.rungs.size(), 5u);
      const double shown = ladder.rungs.back().per_minute * ladder.beat_unit.to_double();
      EXPECT_DOUBLE_EQ(shown, goal);
      for (std::size_t i = 0; i + 1 < ladder.rungs.size(); ++i) {
        EXPECT_TRUE(on_series(ladder.rungs[i].per_minute)) << goal;
        EXPECT_LT(ladder.rungs[i].per_minute, ladder.rungs[i + 1].per_minute) << goal;
      }
      // Never fewer than three rungs for the sake of time, unless the marks run out.
      if (ladder.rungs.size() > 3) {
        EXPECT_LE(ladder.minutes(), 12.0);
      }
    }
  }
}

TEST(Ladder, PlansTheMinutesThatTheRunsTake) {
  const Ladder ladder = plan_ladder({.goal_per_minute = 60, .length = Beats(60)});
  // A run of 60 quarters at 60 lasts a minute; three clean ones and a broken one are four.
  EXPECT_NEAR(ladder.rungs.back().minutes, ladder.rungs.back().clean_runs * 4.0 / 3, 1e-9);
}

}  // namespace
}  // namespace endpin
