#include "endpin/lesson/recipes.h"

#include <gtest/gtest.h>

namespace endpin {
namespace {

SpelledPitch p(const char* text) { return SpelledPitch::parse(text).value(); }

// Dotted quarter B, eighth A, half A: bar 4 of Ode to Joy.
Phrase dotted_bar() {
  return {line_note(p("B2"), Beats(3, 2)), line_note(p("A2"), Beats(1, 2)),
          line_note(p("A2"), Beats(2))};
}

std::vector<Beats> durations(const Phrase& phrase) {
  std::vector<Beats> result;
  for (const LineNote& t : phrase) result.push_back(t.duration);
  return result;
}

TEST(WrittenValues, AreTheFewestThatMakeALength) {
  const auto values = written_values(Beats(5, 2));
  ASSERT_EQ(values.size(), 2u);
  EXPECT_EQ(values[0].value, NoteValue::half);
  EXPECT_EQ(values[1].value, NoteValue::eighth);
  EXPECT_EQ(written_values(Beats(3)).at(0).dots, 1);
  EXPECT_TRUE(written_values(Beats(1, 3)).empty());
}

TEST(Recipes, SubdividingCountsLongNotesOutAndKeepsTheLength) {
  const Phrase result = subdivided(dotted_bar(), Beats(1, 2));
  EXPECT_EQ(result.size(), 8u);
  EXPECT_EQ(length(result), Beats(4));
  EXPECT_EQ(result[2].pitch, p("B2"));
  EXPECT_EQ(result[3].pitch, p("A2"));
}

TEST(Recipes, OnOnePitchKeepsTheRhythmAlone) {
  const Phrase result = on_one_pitch(dotted_bar(), p("D3"));
  EXPECT_EQ(durations(result), durations(dotted_bar()));
  for (const LineNote& t : result) EXPECT_EQ(t.pitch, p("D3"));
}

TEST(Recipes, GrowingAddsANoteAtATimeAndNeverCutsATie) {
  Phrase line = dotted_bar();
  EXPECT_EQ(growing(line, 6).size(), 2u);
  line[1].tie_start = true;
  line[2].tie_stop = true;
  const auto chain = growing(line, 6);
  ASSERT_EQ(chain.size(), 1u);
  EXPECT_EQ(chain[0].size(), 3u);
}

TEST(Recipes, GrowingClosesASlurThatItCuts) {
  Phrase line{line_note(p("D3"), 1), line_note(p("E3"), 1), line_note(p("G3"), 1)};
  line[0].slur_start = true;
  line[2].slur_stop = true;
  const auto chain = growing(line, 6);
  ASSERT_EQ(chain.size(), 2u);
  EXPECT_TRUE(chain[0].back().slur_stop);
}

TEST(Recipes, DottingTurnsPairsIntoThreeToOneAndOneToThree) {
  const Phrase eighths(4, line_note(p("D3"), Beats(1, 2)));
  EXPECT_EQ(durations(dotted(eighths, Beats(1, 2), Dotting::long_short)),
            (std::vector<Beats>{Beats(3, 4), Beats(1, 4), Beats(3, 4), Beats(1, 4)}));
  EXPECT_EQ(durations(dotted(eighths, Beats(1, 2), Dotting::short_long)),
            (std::vector<Beats>{Beats(1, 4), Beats(3, 4), Beats(1, 4), Beats(3, 4)}));
}

TEST(Recipes, AWrittenPitchSoundsAsWanted) {
  Transposition bass;  // sounds an octave lower
  bass.octave_change = -1;
  EXPECT_EQ(written_pitch(p("G2"), bass), p("G3"));
  Transposition fifth{-4, -7, 0};
  EXPECT_EQ(sounding(written_pitch(p("F#3"), fifth), fifth), p("F#3"));
}

TEST(LayIntoBars, FillsWithRestsAndTiesOverBarLines) {
  TimeSignature three;
  three.beats = 3;
  const auto bars = lay_into_bars({{line_note(p("D3"), 2), line_note(p("E3"), 2)}}, three);
  ASSERT_EQ(bars.size(), 2u);
  EXPECT_TRUE(bars[0].notes[1].tie_start);
  EXPECT_TRUE(bars[1].notes[0].tie_stop);
  EXPECT_TRUE(bars[1].notes[1].is_rest());
  EXPECT_EQ(bars[1].notes[1].duration, Beats(2));
}

TEST(LineOf, TakesTheFirstVoiceAndFillsHoles) {
  Bar bar;
  bar.length = Beats(4);
  Note note;
  note.pitch = p("D3");
  note.onset = Beats(1);
  note.duration = Beats(1);
  note.slurs.push_back({1, false});  // begun in the bar before
  bar.notes.push_back(note);
  note.voice = 2;
  bar.notes.push_back(note);
  const Phrase line = line_of(bar);
  ASSERT_EQ(line.size(), 3u);
  EXPECT_FALSE(line[0].pitch);
  EXPECT_FALSE(line[1].slur_stop);
  EXPECT_EQ(line[2].duration, Beats(2));
}

TEST(SlurredByBeat, JoinsTheNotesOfOneBeatAndNoRestOrSingleNote) {
  const SpelledPitch d = *SpelledPitch::parse("D3");
  const SpelledPitch e = *SpelledPitch::parse("E3");
  const Beats eighth(1, 2);
  const Phrase line{line_note(d, eighth), line_note(e, eighth), line_note(d, Beats(1)),
                    line_rest(eighth), line_note(e, eighth)};
  const Phrase slurred = slurred_by_beat(line, Beats(1));
  EXPECT_TRUE(slurred[0].slur_start);
  EXPECT_TRUE(slurred[1].slur_stop);
  for (std::size_t i = 2; i < slurred.size(); ++i) {
    EXPECT_FALSE(slurred[i].slur_start || slurred[i].slur_stop) << i;
  }
  EXPECT_EQ(length(slurred), length(line));
}

}  // namespace
}  // namespace endpin
