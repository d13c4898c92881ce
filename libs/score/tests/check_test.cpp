#include "endpin/score/check.h"

#include <gtest/gtest.h>

#include "made.h"

namespace endpin {
namespace {

using namespace test;

Score score_of(Part part) {
  Score score;
  score.parts.push_back(std::move(part));
  return score;
}

/// Four bars of 4/4, each filled.
Part full_bars() {
  Part part = bars(4);
  Change metre;
  metre.kind = ChangeKind::time;
  part.bars.front().changes.push_back(metre);
  for (Bar& bar : part.bars) {
    for (int beat = 1; beat < 4; ++beat) bar.notes.push_back(quarter("D3", Beats(beat)));
  }
  return part;
}

void shorten(Bar& bar, Beats length) {
  bar.length = length;
  while (bar.notes.back().onset >= length) bar.notes.pop_back();
}

TEST(CheckNotation, HasNothingToSayOfBarsThatAddUp) {
  EXPECT_TRUE(check_notation(score_of(full_bars())).empty());
}

TEST(CheckNotation, SaysWhatABarLacksAndWhere) {
  Part part = full_bars();
  part.bars[1].line = 412;
  part.bars[1].notes.back().duration = Beats(1, 2);
  part.bars[1].length = Beats(7, 2);
  const auto warnings = check_notation(score_of(part));
  ASSERT_EQ(warnings.size(), 1U);
  EXPECT_EQ(warnings[0].place, "412");
  EXPECT_EQ(warnings[0].what, "bar 2, voice 1 lasts 3 1/2 beats but 4/4 needs 4");
}

TEST(CheckNotation, BarsOfMusicWithoutAMetreAreNotAddedUp) {
  Part part = full_bars();
  part.bars.front().changes.clear();
  for (int beat = 4; beat < 9; ++beat) {
    part.bars[1].notes.push_back(quarter("D3", Beats(beat)));
  }
  part.bars[1].length = Beats(9);
  EXPECT_TRUE(check_notation(score_of(part)).empty());
}

TEST(CheckNotation, PickupsSplitBarsAndBarsCutByRepeatsAreInOrder) {
  Part pickup = full_bars();
  shorten(pickup.bars[0], Beats(1));
  shorten(pickup.bars[3], Beats(3));
  EXPECT_TRUE(check_notation(score_of(pickup)).empty());

  Part split = full_bars();
  shorten(split.bars[1], Beats(3));
  shorten(split.bars[2], Beats(1));
  EXPECT_TRUE(check_notation(score_of(split)).empty());

  Part repeat = full_bars();
  shorten(repeat.bars[1], Beats(3));
  at(repeat, 2).repeat_end = true;
  EXPECT_TRUE(check_notation(score_of(repeat)).empty());
}

TEST(CheckNotation, ATieToNowhereIsSaid) {
  Part part = full_bars();
  part.bars[0].notes[3].tie_start = true;
  EXPECT_TRUE(check_notation(score_of(part)).empty());
  part.bars[1].notes[0].pitch = *SpelledPitch::parse("E3");
  const auto warnings = check_notation(score_of(part));
  ASSERT_EQ(warnings.size(), 1U);
  EXPECT_EQ(warnings[0].what, "bar 1: the tie from D3 leads to no note of that pitch");
}

TEST(CheckNotation, NotesOutsideTheInstrumentsRangeAreSaidOnce) {
  Part part = full_bars();
  part.bars[2].notes[0].pitch = part.bars[3].notes[0].pitch = *SpelledPitch::parse("B1");
  const auto warnings = check_notation(score_of(part));
  ASSERT_EQ(warnings.size(), 1U);
  EXPECT_EQ(warnings[0].what, "bar 3: B1 lies outside the cello's range (and 1 more)");
}

TEST(CheckNotation, NotesThatLookLongerThanTheyLastAreSaidOnce) {
  Part part = bars(2);
  for (Bar& bar : part.bars) {
    bar.notes = {quarter("D3", Beats(0)), quarter("E3", Beats(1)), quarter("F3", Beats(2)),
                 quarter("G3", Beats(3))};
    bar.notes[1].written = WrittenDuration{NoteValue::half, 0, 1, 1};
    bar.notes[2].written = WrittenDuration{NoteValue::quarter, 0, 1, 1};
  }
  const auto warnings = check_notation(score_of(part));
  ASSERT_EQ(warnings.size(), 1u);
  EXPECT_EQ(warnings[0].what, "bar 1: E3 is drawn as 2 quarters but lasts 1 (and 1 more)");
}

TEST(CheckNotation, VoicesThatCollideAreSaid) {
  Part own = full_bars();
  own.bars[0].notes[0].duration = Beats(2);
  EXPECT_EQ(check_notation(score_of(own)).size(), 1U);

  Part other = full_bars();
  Note held = quarter("D3", Beats(0));
  held.duration = Beats(4);
  held.voice = 2;
  other.bars[0].notes.insert(other.bars[0].notes.begin(), held);
  EXPECT_EQ(check_notation(score_of(other)).size(), 1U);
}

}  // namespace
}  // namespace endpin
