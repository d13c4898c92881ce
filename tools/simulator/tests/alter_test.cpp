#include "endpin/simulator/alter.h"

#include <gtest/gtest.h>

#include "endpin/simulator/tunes.h"

namespace endpin::simulator {
namespace {

void expect_readable(const Timeline& timeline) {
  const auto read = timeline_from_json(to_json(timeline));
  EXPECT_TRUE(read.has_value()) << read.error().line();
}
int count_new(const Altered& altered) {
  return static_cast<int>(std::count(altered.original.begin(), altered.original.end(), -1));
}

TEST(Alter, ChangesOnePitchAndNothingElse) {
  const auto tune = random_tune({});
  const auto altered = with_pitch(tune, 5, 2);
  EXPECT_EQ(altered.timeline.notes[5].midi, tune.notes[5].midi + 2);
  EXPECT_EQ(altered.timeline.notes[5].onset, tune.notes[5].onset);
  EXPECT_EQ(altered.timeline.notes[6], tune.notes[6]);
}

TEST(Alter, PutsANoteInAndMovesTheRestOn) {
  const auto tune = random_tune({});
  const auto altered = with_note_after(tune, 5, 60);
  ASSERT_EQ(altered.timeline.notes.size(), tune.notes.size() + 1);
  EXPECT_EQ(altered.original[6], -1);
  EXPECT_EQ(altered.original[7], 6);
  EXPECT_EQ(altered.timeline.notes[7].onset, tune.notes[6].onset + tune.notes[5].duration);
  EXPECT_EQ(altered.timeline.end(), tune.end() + tune.notes[5].duration);
  expect_readable(altered.timeline);
}

TEST(Alter, TakesANoteOutAndHoldsTheOneBefore) {
  const auto tune = random_tune({});
  const auto altered = without_note(tune, 6);
  EXPECT_EQ(altered.timeline.notes[5].duration, tune.notes[5].duration + tune.notes[6].duration);
  EXPECT_EQ(altered.original[6], 7);
  expect_readable(altered.timeline);
}

TEST(Alter, PutsABarInAndTakesItOutAgain) {
  const auto tune = random_tune({});
  const auto [from, to] = notes_of_bar(tune, 3);
  const auto longer = with_bar_before(tune, 6, 3, 2);
  EXPECT_EQ(count_new(longer), to - from);
  EXPECT_EQ(longer.timeline.end(), tune.end() + tune.bars[3].length);
  expect_readable(longer.timeline);
  const auto again = without_bar(longer.timeline, 6);
  ASSERT_EQ(again.timeline.notes.size(), tune.notes.size());
  for (std::size_t i = 0; i < tune.notes.size(); ++i) {
    EXPECT_EQ(again.timeline.notes[i].onset, tune.notes[i].onset);
    EXPECT_EQ(again.timeline.notes[i].midi, tune.notes[i].midi);
  }
}

TEST(Alter, ACutIsAsLongAsItsStretchesLessTheirJoints) {
  Audio audio{1000, std::vector<float>(5000, 0.5F)};
  const auto out = cut(audio, {{Seconds(0), Seconds(2)}, {Seconds(1), Seconds(4)}});
  EXPECT_EQ(out.samples.size(), 5000u - 8u);
  for (const float s : out.samples) ASSERT_NEAR(s, 0.5F, 1e-6);
}

}  // namespace
}  // namespace endpin::simulator
