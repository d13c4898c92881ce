#include "endpin/study/tempo.h"

#include <gtest/gtest.h>

namespace endpin {
namespace {

// The traditional series: 39 marks, steps of 3.4 to 5.6 %.
TEST(Metronome, HasTheTraditionalMarks) {
  const auto marks = metronome_marks();
  ASSERT_EQ(marks.size(), 39u);
  EXPECT_EQ(marks.front(), 40);
  EXPECT_EQ(marks.back(), 208);
  for (std::size_t i = 1; i < marks.size(); ++i) {
    const double step = static_cast<double>(marks[i]) / marks[i - 1] - 1;
    EXPECT_GE(step, 0.033) << marks[i];
    EXPECT_LE(step, 0.056) << marks[i];
  }
  EXPECT_EQ(mark_at_or_below(71), 69);
  EXPECT_EQ(mark_at_or_below(72), 72);
  EXPECT_EQ(mark_steps_from(72, 1), 76);
  EXPECT_EQ(mark_steps_from(208, 3), 208);
}

TEST(Ladder, ClimbsFromJustOverHalfInFiveMarks) {
  for (int target = 40; target <= 208; ++target) {
    const auto rungs = ladder(target);
    ASSERT_FALSE(rungs.empty());
    EXPECT_LE(rungs.size(), 5u);
    EXPECT_EQ(rungs.back(), target);
    EXPECT_LE(rungs.front(), std::max(40, target));
    for (std::size_t i = 1; i < rungs.size(); ++i) EXPECT_GT(rungs[i], rungs[i - 1]);
  }
  EXPECT_EQ(ladder(120).front(), 66);
}

TEST(TempoPlan, TakesThePrintedTempoInTheBeatsUnit) {
  Timeline t;
  t.tempo = TempoMap(Bpm(90));
  t.tempo_is_given = true;
  t.beat_unit = Beats(3, 2);
  EXPECT_EQ(plan_tempo(t, "slurs").target, 60);
}

}  // namespace
}  // namespace endpin
