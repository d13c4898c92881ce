#include <gtest/gtest.h>

#include "bars.h"
#include "sections.h"

namespace endpin::study_internal {
namespace {

struct Sung {
  const char* pitch;
  Beats duration;
};

// Bars of four quarters.
Timeline tune(const std::vector<std::vector<Sung>>& bars) {
  Timeline t;
  for (std::size_t b = 0; b < bars.size(); ++b) {
    const Beats start(4 * static_cast<int>(b));
    const std::string number = std::to_string(b + 1);
    t.bars.push_back({number, static_cast<int>(b), 1, start, Beats(4), 4, 4});
    Beats at = start;
    for (const Sung& sung : bars[b]) {
      TimelineNote note;
      note.index = static_cast<int>(t.notes.size());
      note.id = "n" + std::to_string(note.index);
      note.bar = number;
      note.onset = at;
      note.duration = sung.duration;
      note.spelled = *SpelledPitch::parse(sung.pitch);
      note.midi = note.spelled.midi();
      at += sung.duration;
      t.notes.push_back(note);
    }
  }
  return t;
}

std::vector<TwinBars> twins_of(const Timeline& t) { return twin_bars(written_bars(t)); }

const std::vector<Sung> walk{{"D3", 1}, {"E3", 1}, {"F#3", 1}, {"G3", 1}};

TEST(TwinBars, SayWhereTheRhythmDiffers) {
  const auto list = twins_of(
      tune({walk,
            {{"A3", 4}},
            {{"D3", 1}, {"E3", Beats(1, 2)}, {"E3", Beats(1, 2)}, {"F#3", 1}, {"G3", 1}}}));
  ASSERT_EQ(list.size(), 1u);
  EXPECT_EQ(list[0].earlier, "1");
  EXPECT_EQ(list[0].later, "3");
  EXPECT_TRUE(list[0].rhythm_differs);
  EXPECT_EQ(list[0].beat, 2);
  EXPECT_EQ(say(list[0].difference, Language::en_gb),
            "bar 3 has quavers where bar 1 had a crotchet: beat 2");
}

TEST(TwinBars, SayWhichNoteDiffers) {
  const auto list = twins_of(tune({walk, {{"D3", 1}, {"E3", 1}, {"F#3", 1}, {"A3", 1}}}));
  ASSERT_EQ(list.size(), 1u);
  EXPECT_TRUE(list[0].pitch_differs);
  EXPECT_FALSE(list[0].rhythm_differs);
  EXPECT_EQ(say(list[0].difference, Language::en_us),
            "measure 2 has A3 where measure 1 had G3: beat 4");
}

TEST(TwinBars, KnowTheSameNotesInAnotherRhythm) {
  const auto list = twins_of(tune(
      {walk,
       {{"D3", Beats(3, 2)}, {"E3", Beats(1, 2)}, {"F#3", Beats(3, 2)}, {"G3", Beats(1, 2)}}}));
  ASSERT_EQ(list.size(), 1u);
  EXPECT_TRUE(list[0].rhythm_differs);
  EXPECT_FALSE(list[0].pitch_differs);
}

// Bar 4 comes after the same bar as bar 2 did: it is the one that is mistaken.
TEST(TwinBars, AreRankedByHowEasilyTheyAreMistaken) {
  const std::vector<Sung> turn{{"A3", 1}, {"G3", 1}, {"F#3", 1}, {"E3", 1}};
  const std::vector<Sung> close{{"A3", 1}, {"G3", 1}, {"F#3", 1}, {"D3", 1}};
  const std::vector<Sung> other{{"B3", 2}, {"D4", 2}};
  const std::vector<Sung> far{{"C4", 1}, {"G3", 1}, {"F#3", 1}, {"E3", 1}};
  const auto list = twins_of(tune({walk, turn, walk, close, other, far}));
  ASSERT_EQ(list.size(), 2u);
  EXPECT_EQ(list[0].later, "4");
  EXPECT_EQ(list[1].later, "6");
  EXPECT_GT(list[0].likeness, list[1].likeness);
}

TEST(TwinBars, AreNotBarsThatAreSimplyAlikeNorMerelySimilar) {
  EXPECT_TRUE(twins_of(tune({walk, walk, walk})).empty());
  EXPECT_TRUE(twins_of(tune({walk, {{"A3", 1}, {"G3", 1}, {"C4", 1}, {"B3", 1}}})).empty());
}

}  // namespace
}  // namespace endpin::study_internal
