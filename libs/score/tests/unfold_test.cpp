#include <gtest/gtest.h>

#include "made.h"

namespace endpin {
namespace {

using namespace test;

TEST(Unfold, PlaysBarsAsWrittenWhereNothingRepeats) { EXPECT_EQ(order_of(bars(3)), "1 2 3"); }

TEST(Unfold, GoesBackToTheRepeatSignOrTheBeginning) {
  Part part = bars(4);
  at(part, 1).repeat_end = true;
  at(part, 3).repeat_start = true;
  at(part, 4).repeat_end = true;
  EXPECT_EQ(order_of(part), "1 1 2 3 4 3 4");
}

TEST(Unfold, ASecondRepeatWithoutASignGoesBackToTheEndOfTheFirst) {
  Part part = bars(4);
  at(part, 2).repeat_end = true;
  at(part, 4).repeat_end = true;
  EXPECT_EQ(order_of(part), "1 2 1 2 3 4 3 4");
}

TEST(Unfold, TakesEachEndingInItsPass) {
  Part part = bars(4);
  ending(part, 2, {1});
  at(part, 2).repeat_end = true;
  ending(part, 3, {2});
  EXPECT_EQ(order_of(part), "1 2 1 3 4");
}

TEST(Unfold, AnEndingMayServeSeveralPasses) {
  Part part = bars(4);
  ending(part, 2, {1, 2});
  at(part, 2).repeat_end = true;
  ending(part, 3, {3});
  EXPECT_EQ(order_of(part), "1 2 1 2 1 3 4");
}

TEST(Unfold, ARepeatSignAfterTheLastEndingStartsNoFurtherPass) {
  // The usual spelling of tunes: |1 … :|2 … :|
  Part part = bars(3);
  ending(part, 2, {1});
  ending(part, 3, {2});
  at(part, 2).repeat_end = at(part, 3).repeat_end = true;
  EXPECT_EQ(order_of(part), "1 2 1 3");
}

TEST(Unfold, ALoneFirstEndingIsLeftOutTheSecondTime) {
  Part part = bars(3);
  ending(part, 2, {1});
  at(part, 2).repeat_end = true;
  EXPECT_EQ(order_of(part), "1 2 1 3");
}

TEST(Unfold, CountsPassesThroughABar) {
  Part part = bars(2);
  at(part, 1).repeat_end = true;
  at(part, 1).repeat_times = 3;
  const PlayedOrder order = unfold(part);
  EXPECT_EQ(order.bars, (std::vector<PlayedBar>{{0, 1}, {0, 2}, {0, 3}, {1, 1}}));
}

TEST(Unfold, DaCapoAlFineLeavesRepeatsOutTheSecondTime) {
  Part part = bars(4);
  at(part, 2).repeat_end = true;
  at(part, 2).fine = true;
  at(part, 4).da_capo = true;
  EXPECT_EQ(order_of(part), "1 2 1 2 3 4 1 2");
}

TEST(Unfold, DaCapoTakesTheLastEnding) {
  Part part = bars(5);
  ending(part, 2, {1});
  at(part, 2).repeat_end = true;
  ending(part, 3, {2});
  at(part, 3).fine = true;
  at(part, 5).da_capo = true;
  EXPECT_EQ(order_of(part), "1 2 1 3 4 5 1 3");
}

TEST(Unfold, DalSegnoAlCoda) {
  Part part = bars(6);
  at(part, 2).segno = true;
  at(part, 3).to_coda = true;
  at(part, 5).dal_segno = true;
  at(part, 6).coda = true;
  EXPECT_EQ(order_of(part), "1 2 3 4 5 2 3 6");
}

TEST(Unfold, AFinalBarLineBeforeADaCapoIsItsFine) {
  Part part = bars(4);
  part.bars[1].right = BarLine::final_line;
  at(part, 4).da_capo = true;
  EXPECT_EQ(order_of(part), "1 2 3 4 1 2");
}

TEST(Unfold, WhatCannotBeResolvedIsPlayedOnceThroughAndSaid) {
  Part part = bars(3);
  at(part, 3).dal_segno = true;
  EXPECT_EQ(order_of(part), "1 2 3");
  ASSERT_EQ(unfold(part).warnings.size(), 1U);
  EXPECT_EQ(unfold(part).warnings[0].place, "bar 3");
}

TEST(Unfold, IsBoundedWhateverTheRepeatsAskFor) {
  Part part = bars(2);
  at(part, 2).repeat_end = true;
  at(part, 2).repeat_times = 1'000'000'000;
  EXPECT_EQ(order_of(part), "1 2");
  EXPECT_EQ(unfold(part).warnings.size(), 1U);
}

TEST(Unfold, ABracketThatNoRepeatBelongsToIsPlayed) {
  Part part = bars(3);
  at(part, 1).repeat_end = true;
  ending(part, 2, {2});
  EXPECT_EQ(order_of(part), "1 1 2 3");
}

}  // namespace
}  // namespace endpin
