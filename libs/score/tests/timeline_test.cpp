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

Timeline timeline_of(const Part& part, std::string_view instrument = {}) {
  auto result = timeline(score_of(part), 0, instrument);
  EXPECT_TRUE(result);
  return *result;
}

/// One bar of 4/4 with `notes` a quarter apart.
Part one_bar(std::initializer_list<const char*> notes) {
  Part part = bars(1);
  part.bars[0].notes.clear();
  for (const char* note : notes) {
    part.bars[0].notes.push_back(quarter(note, Beats(part.bars[0].notes.size())));
  }
  return part;
}

std::vector<Note>& notes(Part& part, int bar = 0) { return part.bars[bar].notes; }

TEST(Timeline, JoinsTiesOverTheBarLine) {
  Part part = bars(2);
  notes(part)[0].duration = Beats(4);
  notes(part)[0].tie_start = true;
  notes(part, 1)[0].tie_stop = true;
  const Timeline t = timeline_of(part);
  ASSERT_EQ(t.notes.size(), 1U);
  EXPECT_EQ(t.notes[0].duration, Beats(5));
}

TEST(Timeline, ATieIntoTheSecondEndingJoinsThere) {
  Part part = bars(3);
  notes(part)[0].duration = Beats(4);
  notes(part)[0].tie_start = true;
  ending(part, 2, {1});
  at(part, 2).repeat_end = true;
  ending(part, 3, {2});
  notes(part, 1)[0].tie_stop = notes(part, 2)[0].tie_stop = true;
  const Timeline t = timeline_of(part);
  ASSERT_EQ(t.notes.size(), 2U);
  EXPECT_EQ(t.notes[0].duration, Beats(5));
  EXPECT_EQ(t.notes[1].duration, Beats(5));
  EXPECT_EQ(t.notes[1].pass, 2);
}

TEST(Timeline, ATieToAnotherPitchIsNone) {
  Part part = one_bar({"D3", "E3"});
  notes(part)[0].tie_start = notes(part)[1].tie_stop = true;
  EXPECT_EQ(timeline_of(part).notes.size(), 2U);
}

TEST(Timeline, LeavesGracesCuesAndRestsOutAndCountsTheGraces) {
  Part part = one_bar({"D3", "E3", "F3", "G3"});
  notes(part)[0].rest = RestKind::rest;
  notes(part)[1].grace = true;
  notes(part)[1].duration = Beats(0);
  notes(part)[1].onset = Beats(2);
  notes(part)[3].cue = true;
  const Timeline t = timeline_of(part);
  ASSERT_EQ(t.notes.size(), 1U);
  EXPECT_EQ(t.notes[0].spelled.text(), "F3");
  EXPECT_EQ(t.notes[0].graces_before, 1);
}

TEST(Timeline, OrdersChordNotesUpwardsAndKeepsUnisonsOfTwoVoices) {
  Part part = one_bar({"G3"});
  Note low = quarter("C3", Beats(0));
  low.in_chord = true;
  Note unison = quarter("G3", Beats(0));
  unison.voice = 2;
  notes(part).insert(notes(part).end(), {low, unison});
  const Timeline t = timeline_of(part);
  ASSERT_EQ(t.notes.size(), 3U);
  EXPECT_EQ(t.notes[0].midi, 48);
  EXPECT_EQ(t.notes[1].midi, 55);
  EXPECT_EQ(t.notes[2].midi, 55);
  EXPECT_EQ(t.notes[0].chord_id, t.notes[2].chord_id);
  EXPECT_EQ(t.notes[2].index, 2);
}

TEST(Timeline, NotesUnderOneSlurAreOneStrokeAndAPassHasItsOwn) {
  Part part = one_bar({"D3", "E3", "F3"});
  notes(part)[0].slurs = {{1, true}};
  notes(part)[1].slurs = {{1, false}};
  at(part, 1).repeat_end = true;
  const Timeline t = timeline_of(part);
  ASSERT_EQ(t.notes.size(), 6U);
  EXPECT_EQ(t.notes[0].slur_id, 0);
  EXPECT_EQ(t.notes[1].slur_id, 0);
  EXPECT_EQ(t.notes[2].slur_id, std::nullopt);
  EXPECT_EQ(t.notes[3].slur_id, 1);
  EXPECT_EQ(t.notes[0].stroke_id, t.notes[1].stroke_id);
  EXPECT_NE(t.notes[1].stroke_id, t.notes[2].stroke_id);
}

TEST(Timeline, ASlurThatNobodyClosesIsNone) {
  Part part = one_bar({"D3", "E3"});
  notes(part)[0].slurs = {{1, true}};
  EXPECT_EQ(timeline_of(part).notes[0].slur_id, std::nullopt);
}

TEST(Timeline, ADoubleBassSoundsAnOctaveBelowWhatIsWritten) {
  Part part = one_bar({"E2", "A2"});
  part.name = "Contrabass";
  EXPECT_EQ(timeline_of(part).notes[0].midi, 28);  // E1 is 28 in MIDI 1.0's numbering
  part.transpose.octave_change = -1;               // said by the file: not twice
  EXPECT_EQ(timeline_of(part).notes[0].midi, 28);
}

TEST(Timeline, PitchesBelowABassesWrittenRangeAreSoundingOnes) {
  Part part = one_bar({"E1", "A1"});
  part.name = "Contrabass";
  EXPECT_EQ(timeline_of(part).notes[0].midi, 28);
}

TEST(Timeline, ATempoMarkMayStandInAnotherPart) {
  Score score;
  score.parts = {bars(2), bars(2)};
  Direction mark;
  mark.kind = DirectionKind::tempo;
  mark.metronome = Metronome{Beats(3, 2), 60};
  score.parts[0].bars[0].directions.push_back(mark);
  const auto t = timeline(score, 1);
  ASSERT_TRUE(t);
  EXPECT_TRUE(t->tempo_is_given);
  EXPECT_DOUBLE_EQ(t->tempo.tempo_at(Beats(0)).value(), 90);
  EXPECT_EQ(t->beat_unit, Beats(3, 2));
}

TEST(Timeline, TheClickOfACompoundMetreCountsThreeUnits) {
  Part part = bars(1);
  Change change;
  change.kind = ChangeKind::time;
  change.time = {6, 8, false, false, false};
  part.bars[0].changes.push_back(change);
  EXPECT_EQ(timeline_of(part).beat_unit, Beats(3, 2));
}

TEST(Timeline, APartInWhichNothingSoundsIsAnError) {
  Part part = bars(1);
  notes(part)[0].rest = RestKind::bar_rest;
  EXPECT_FALSE(timeline(score_of(part), 0));
}

TEST(ChoosePart, TakesTheBowedStringPartUnlessToldOtherwise) {
  Score score;
  score.parts = {bars(1), bars(1), bars(1)};
  score.parts[0].name = "Flute";
  score.parts[1].name = "Violoncello";
  score.parts[2].name = "Violin II";
  EXPECT_EQ(*choose_part(score), 1);
  EXPECT_EQ(*choose_part(score, "3"), 2);
  EXPECT_EQ(*choose_part(score, "violin"), 2);
  const auto none = choose_part(score, "Oboe");
  ASSERT_FALSE(none);
  EXPECT_EQ(none.error().remedy, "The parts are: 1 Flute, 2 Violoncello, 3 Violin II.");
}

TEST(GuessInstrument, ReadsPartNamesInTheLanguagesOfPrint) {
  const std::vector<std::pair<std::string, std::string>> names{
      {"Violine I", "violin"},  {"Violino 2°", "violin"}, {"Bratsche", "viola"},
      {"Violoncelle", "cello"}, {"Vc.", "cello"},         {"Kontrabass", "bass"},
      {"Contrebasse", "bass"},  {"Double Bass", "bass"},  {"Piano", ""},
      {"Viola da gamba", ""},   {"Bass Guitar", ""},      {"Solo Violin", "violin"}};
  for (const auto& [name, instrument] : names) {
    Part part = bars(1);
    part.name = name;
    EXPECT_EQ(guess_instrument(part), instrument) << name;
  }
}

TEST(GuessInstrument, TakesClefAndRangeWhereTheNameSaysNothing) {
  Part part = one_bar({"C2"});
  part.name = "Part 1";
  Change clef;
  clef.kind = ChangeKind::clef;
  clef.clef = {ClefSign::f, 4, 0, 1};
  part.bars[0].changes.push_back(clef);
  EXPECT_EQ(guess_instrument(part), "cello");
}

}  // namespace
}  // namespace endpin
