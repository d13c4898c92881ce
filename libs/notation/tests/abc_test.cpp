#include <ctime>

#include <gtest/gtest.h>

#include "endpin/notation/read.h"
#include "endpin/score/unfold.h"

// The examples are those of the ABC standard 2.1 (December 2011); its section stands beside each.
namespace endpin {
namespace {

Score read_tune(std::string_view header, std::string_view body) {
  const std::string text = "X:1\n" + std::string(header) + "\n" + std::string(body) + "\n";
  auto score = read_score(text, {"tune.abc", {}});
  EXPECT_TRUE(score) << score.error().line();
  return score ? *score : Score{};
}

Timeline played(std::string_view header, std::string_view body) {
  auto result = timeline(read_tune(header, body), 0);
  EXPECT_TRUE(result);
  return *result;
}

/// Durations in quarters: "1/2 1 3/2".
std::string lengths(std::string_view header, std::string_view body) {
  std::string text;
  for (const TimelineNote& note : played(header, body).notes) {
    text += (text.empty() ? "" : " ") + note.duration.text();
  }
  return text;
}

std::string pitches(std::string_view header, std::string_view body) {
  std::string text;
  for (const TimelineNote& note : played(header, body).notes) {
    text += (text.empty() ? "" : " ") + note.spelled.text();
  }
  return text;
}

std::string letters(std::string_view header, std::string_view body) {
  std::string text;
  for (const TimelineNote& note : played(header, body).notes) text += note.spelled.text()[0];
  return text;
}

TEST(Abc, NoteLengthsCountTheUnitLength) {
  // 4.3: the same lengths for L:1/16 and L:1/8.
  const std::string expected = "1/4 1/2 3/4 1 3/2 7/4 2 3 7/2 15/4 4 6";
  EXPECT_EQ(lengths("M:none\nL:1/16\nK:C", "A A2 A3 A4 A6 A7 A8 A12 A14 A15 A16 A24"), expected);
  EXPECT_EQ(lengths("M:none\nL:1/8\nK:C", "A/2 A A3/2 A2 A3 A7/2 A4 A6 A7 A15/2 A8 A12"), expected);
}

TEST(Abc, SlashesHalve) {
  // 4.3: "A/ is shorthand for A/2; A// for A/4".
  EXPECT_EQ(lengths("M:none\nL:1/4\nK:C", "A/ A// A/4 A3/"), "1/2 1/4 1/4 3/2");
}

TEST(Abc, TheDefaultUnitFollowsTheMetre) {
  // 3.1.7: below 0.75 a sixteenth, from 0.75 on an eighth.
  EXPECT_EQ(lengths("M:2/4\nK:C", "A"), "1/4");
  EXPECT_EQ(lengths("M:6/8\nK:C", "A"), "1/2");
  EXPECT_EQ(lengths("M:4/4\nK:C", "A"), "1/2");
}

TEST(Abc, BrokenRhythm) {
  // 4.4: a>b c<d abcd is a3/b/ c/d3/ abcd.
  const std::string_view header = "M:none\nL:1/8\nK:C";
  EXPECT_EQ(lengths(header, "a>b c<d a2b2c2d2"), lengths(header, "a3/b/ c/d3/ a2b2c2d2"));
  EXPECT_EQ(lengths(header, "a>>b"), "7/8 1/8");
  EXPECT_EQ(lengths(header, "a<<b"), "1/8 7/8");
}

TEST(Abc, PitchesByLetterAndMark) {
  // 4.1: C is middle C.
  EXPECT_EQ(pitches("M:none\nK:C", "C, C c c' C,, B b"), "C3 C4 C5 C6 C2 B4 B5");
}

TEST(Abc, AccidentalsHoldToTheBarsEnd) {
  // 4.2; 11.3: by default in every octave.
  EXPECT_EQ(pitches("M:4/4\nL:1/4\nK:C", "^F F f =F | F _B __B ^^C"),
            "F#4 F#4 F#5 F4 F4 Bb4 Bbb4 C##4");
  EXPECT_EQ(pitches("M:4/4\nL:1/4\nI:propagate-accidentals octave\nK:C", "^F F f G|"),
            "F#4 F#4 F5 G4");
}

TEST(Abc, ATieCarriesTheAccidentalOverTheBarLine) {
  const Timeline t = played("M:4/4\nL:1/4\nK:C", "A B c ^f-|f f2 z|");
  EXPECT_EQ(t.notes[3].duration, Beats(2));
  EXPECT_EQ(t.notes[3].spelled.text(), "F#5");
  EXPECT_EQ(t.notes[4].spelled.text(), "F5");
}

TEST(Abc, TheModesOfTheTable) {
  // 3.1.14: each row of the table has one signature.
  const std::vector<std::pair<int, std::string>> rows{
      {7, "C# A#m G#Mix D#Dor E#Phr F#Lyd B#Loc"}, {2, "D Bm AMix EDor F#Phr GLyd C#Loc"},
      {1, "G Em DMix ADor BPhr CLyd F#Loc"},       {0, "C Am GMix DDor EPhr FLyd BLoc"},
      {-1, "F Dm CMix GDor APhr BbLyd ELoc"},      {-3, "Eb Cm BbMix FDor GPhr AbLyd DLoc"},
      {-7, "Cb Abm GbMix DbDor EbPhr FbLyd BbLoc"}};
  for (const auto& [fifths, keys] : rows) {
    for (std::size_t at = 0; at < keys.size();) {
      const std::size_t end = std::min(keys.find(' ', at), keys.size());
      const std::string key = keys.substr(at, end - at);
      at = end + 1;
      EXPECT_EQ(played("M:4/4\nK:" + key, "C").fifths, fifths) << key;
    }
  }
}

TEST(Abc, KeysAreReadByTheFirstThreeLettersInAnyCase) {
  // 3.1.14
  for (const char* key : {"K:Dmixolydian", "K:D mix", "K:DMIX", "K: D Mixo"}) {
    EXPECT_EQ(played(std::string("M:4/4\n") + key, "C").fifths, 1) << key;
  }
}

TEST(Abc, ExplicitAccidentalsOfAKeySound) {
  // 3.1.14: K:D Phr ^f has two flats and F sharp.
  EXPECT_EQ(pitches("M:none\nK:D Phr ^f", "F B E C"), "F#4 Bb4 Eb4 C4");
  EXPECT_EQ(pitches("M:none\nK:D exp _b _e ^f", "F B E C"), "F#4 Bb4 Eb4 C4");
}

TEST(Abc, Tuplets) {
  // 4.13: (3 is three in the time of two; (2 two in the time of three; (p:q:r.
  const std::string_view header = "M:4/4\nL:1/8\nK:C";
  EXPECT_EQ(lengths(header, "(3abc"), "1/3 1/3 1/3");
  EXPECT_EQ(lengths(header, "(2ab"), "3/4 3/4");
  EXPECT_EQ(lengths(header, "(4abcd"), "3/8 3/8 3/8 3/8");
  EXPECT_EQ(lengths(header, "(3:2:4 G2A2Bc"), "2/3 2/3 1/3 1/3");
  EXPECT_EQ(lengths(header, "(3::4 G2A2Bc"), "2/3 2/3 1/3 1/3");
  EXPECT_EQ(lengths(header, "(3:2:2 G4c2 d"), "4/3 2/3 1/2");
  EXPECT_EQ(lengths(header, "(5abcde"), "1/5 1/5 1/5 1/5 1/5");
  EXPECT_EQ(lengths("M:9/8\nL:1/8\nK:C", "(5abcde"), "3/10 3/10 3/10 3/10 3/10");
}

TEST(Abc, ATupletsNotesAreWrittenPlain) {
  const Score score = read_tune("M:4/4\nL:1/8\nK:C", "(3abc");
  const Note& note = score.parts[0].bars[0].notes[0];
  ASSERT_TRUE(note.written);
  EXPECT_EQ(note.written->value, NoteValue::eighth);
  EXPECT_EQ(note.written->actual_notes, 3);
  EXPECT_EQ(note.written->beats(), Beats(1, 3));
}

TEST(Abc, RepeatsAndEndings) {
  // 4.8 and 4.9.
  const std::string_view header = "M:1/4\nL:1/4\nK:C";
  EXPECT_EQ(letters(header, "A|:B|C:|D|"), "ABCBCD");
  EXPECT_EQ(letters(header, "A|B:|C|"), "ABABC");
  EXPECT_EQ(letters(header, "|:A|B::C|D:|"), "ABABCDCD");
  EXPECT_EQ(letters(header, "|:A|B:||:C|D:|"), "ABABCDCD");
  EXPECT_EQ(letters(header, "|:A|1 B:|2 C|]D|"), "ABACD");
  EXPECT_EQ(letters(header, "|:A|[1 B :|[2 C|]D|"), "ABACD");
  EXPECT_EQ(letters(header, "|::A::|B|"), "AAAB");  // 4.8: |:: to be played three times
}

TEST(Abc, VariantEndings) {
  // 4.10
  EXPECT_EQ(letters("M:1/4\nL:1/4\nK:C", "|:A|[1,3 B:|[2 C:|[4 D|]"), "ABACABAD");
  EXPECT_EQ(letters("M:1/4\nL:1/4\nK:C", "|:A|[1-3 B:|[4 D|]"), "ABABABAD");
}

TEST(Abc, TiesAndSlurs) {
  // 4.11
  EXPECT_EQ(lengths("M:3/4\nL:1/4\nK:C", "abc-|cba"), "1 1 2 1 1");
  const Timeline nested = played("M:none\nL:1/4\nK:C", "(c (d e f) g a)");
  EXPECT_EQ(nested.notes[1].slur_id, nested.notes[3].slur_id);
  EXPECT_EQ(nested.notes[0].slur_id, nested.notes[5].slur_id);
  EXPECT_NE(nested.notes[0].slur_id, nested.notes[1].slur_id);
}

TEST(Abc, GraceNotesTakeNoTime) {
  // 4.12
  const Timeline t = played("M:none\nL:1/4\nK:C", "{g}A3 A{g}A {gAGAG}A{/g}A");
  ASSERT_EQ(t.notes.size(), 5U);
  EXPECT_EQ(t.notes[0].graces_before, 1);
  EXPECT_EQ(t.notes[3].graces_before, 5);
}

TEST(Abc, ChordLengthsMultiply) {
  // 4.17: [C2E2G2]3 is [CEG]6.
  const std::string_view header = "M:none\nL:1/8\nK:C";
  EXPECT_EQ(lengths(header, "[C2E2G2]3"), "3 3 3");
  EXPECT_EQ(lengths(header, "[CEG]6"), "3 3 3");
}

TEST(Abc, BowingAndFingeringDecorations) {
  // 4.14
  const Score score = read_tune("M:none\nL:1/4\nK:C", "vA uB !downbow!c !upbow!d !1!e .f !open!g");
  const std::vector<Note>& notes = score.parts[0].bars[0].notes;
  EXPECT_EQ(notes[0].printed.bow, Bow::down);
  EXPECT_EQ(notes[1].printed.bow, Bow::up);
  EXPECT_EQ(notes[2].printed.bow, Bow::down);
  EXPECT_EQ(notes[3].printed.bow, Bow::up);
  EXPECT_EQ(notes[4].printed.fingers, std::vector{1});
  EXPECT_EQ(notes[5].articulations, std::vector{Articulation::staccato});
  EXPECT_TRUE(notes[6].printed.open_string);
}

TEST(Abc, SymbolsMayBeRedefined) {
  // 4.16: U: W = !upbow!
  const Score score = read_tune("M:none\nU: W = !upbow!\nK:C", "WA");
  EXPECT_EQ(score.parts[0].bars[0].notes[0].printed.bow, Bow::up);
}

TEST(Abc, TempoInBeats) {
  // 3.1.8
  EXPECT_DOUBLE_EQ(played("M:4/4\nQ:1/2=120\nK:C", "A").tempo.tempo_at(Beats(0)).value(), 240);
  EXPECT_DOUBLE_EQ(played("M:6/8\nQ:\"Allegro\" 3/8=80\nK:C", "A").tempo.tempo_at(Beats(0)).value(),
                   120);
  EXPECT_DOUBLE_EQ(played("M:4/4\nQ:1/4 3/8 1/4=40\nK:C", "A").tempo.tempo_at(Beats(0)).value(),
                   140);
}

TEST(Abc, PartsArePlayedInTheOrderOfTheHeader) {
  // 3.1.9
  EXPECT_EQ(letters("M:1/4\nL:1/4\nP:A2(BC)2\nK:C", "P:A\nA|\nP:B\nB|\nP:C\nC|"), "AABCBC");
}

TEST(Abc, LyricsStandUnderTheirNotes) {
  // 5.1
  const Score score = read_tune("M:none\nL:1/4\nK:C", "C D E F G A\nw: syll-a-ble time~and * of");
  const std::vector<Note>& notes = score.parts[0].bars[0].notes;
  EXPECT_EQ(notes[0].lyrics, std::vector<std::string>{"syll-"});
  EXPECT_EQ(notes[1].lyrics, std::vector<std::string>{"a-"});
  EXPECT_EQ(notes[2].lyrics, std::vector<std::string>{"ble"});
  EXPECT_EQ(notes[3].lyrics, std::vector<std::string>{"time and"});
  EXPECT_TRUE(notes[4].lyrics.empty());
  EXPECT_EQ(notes[5].lyrics, std::vector<std::string>{"of"});
}

TEST(Abc, VoicesAreParts) {
  // 7
  const Score score = read_tune(
      "M:4/4\nL:1/4\nV:1 name=\"Violin\" clef=treble\nV:2 name=\"Cello\" "
      "clef=bass\nK:G",
      "V:1\nGABc|\n[V:2] G,A,B,C|\nV:1\ndefg|\nV:2\nD,E,F,G,|");
  ASSERT_EQ(score.parts.size(), 2U);
  EXPECT_EQ(score.parts[0].name, "Violin");
  EXPECT_EQ(score.parts[1].name, "Cello");
  EXPECT_EQ(score.parts[1].bars.size(), 2U);
  EXPECT_EQ(*choose_part(score), 0);
}

TEST(Abc, OneTuneOfManyIsTakenByItsNumber) {
  const std::string text =
      "% a collection\n\nX:1\nT:First\nK:C\nC|\n\nSome words between.\n\nX: 7\nT:Other\nK:C\nD|\n";
  const auto seventh = read_score(text, {"tunes.abc", 7});
  ASSERT_TRUE(seventh);
  EXPECT_EQ(seventh->title, "Other");
  EXPECT_EQ(read_score(text)->title, "First");
  const auto none = read_score(text, {"tunes.abc", 2});
  ASSERT_FALSE(none);
  EXPECT_EQ(none.error().line(), "tunes.abc: there is no tune X:2. The tunes are: 1, 7.");
}

TEST(Abc, AThousandTunesOfOneFileAreReadOneByOneInASecond) {
  std::string file = "%abc-2.1\nM:4/4\nL:1/8\n";
  for (int tune = 1; tune <= 1000; ++tune) {
    file += "\nX:" + std::to_string(tune) + "\nT:Tune\nK:G\n";
    for (int line = 0; line < 4; ++line) file += "|:GABc d2e2|dBAG FGAF|G2B2 d2g2|f2e2 d4:|\n";
  }
  const std::clock_t begin = std::clock();
  for (int tune = 1; tune <= 1000; ++tune) {
    const auto score = read_score(file, {"", tune});
    ASSERT_TRUE(score) << score.error().line();
    ASSERT_EQ(score->parts.front().bars.size(), 16U);
  }
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
  constexpr double seconds = 20;
#else
  constexpr double seconds = 1;
#endif
  EXPECT_LT(static_cast<double>(std::clock() - begin) / CLOCKS_PER_SEC, seconds);
}

TEST(Abc, ATranspositionThatComesLaterHoldsFromThere) {
  EXPECT_EQ(pitches("L:1/4\nK:C", "CE|[K:C transpose=-2]CE|"), "C4 E4 Bb3 D4");
}

// Section 4.6: an 8 at the clef moves what is played by an octave.
TEST(Abc, AnEightAtTheClefMovesTheNotes) {
  EXPECT_EQ(pitches("L:1/4\nK:C clef=treble-8", "CE|[K:clef=bass]C,|[K:clef=treble+8]C|"),
            "C3 E3 C3 C5");
}

TEST(Abc, ChordsOfOldFilesStandBetweenPluses) {
  EXPECT_EQ(pitches("L:1/4\nK:G", "+GBd+2 +trill+A +f+B"), "G4 B4 D5 A4 B4");
  EXPECT_EQ(lengths("L:1/4\nK:G", "+GBd+2 A"), "2 2 2 1");
}

TEST(Abc, BlocksOfTextAndOfTypesettersCodeAreNoMusic) {
  EXPECT_EQ(pitches("L:1/4\n%%begintext\nA B C|\n%%endtext\nK:C",
                    "CD|\n%%beginps\n/f {A B C|}\n%%endps\nEF|"),
            "C4 D4 E4 F4");
}

TEST(Abc, LinesMayBeIndented) {
  const auto score = read_score("  X:1\n  T:Pasted\n  K:G\n  GABc|\n", {});
  ASSERT_TRUE(score) << score.error().line();
  EXPECT_EQ(score->title, "Pasted");
}

TEST(Abc, AnEmptyLineBetweenSystemsOfALooseFileIsPassedOver) {
  EXPECT_EQ(letters("M:1/4\nL:1/4\nK:C", "A|B|\n\nC|D|"), "ABCD");
}

TEST(Abc, MacrosAreLeftOutAndSaid) {
  const Score score = read_tune("m: ~n = {n}n\nM:none\nK:C", "A");
  ASSERT_EQ(score.warnings.size(), 1U);
  EXPECT_EQ(score.warnings[0].place, "2");
}

TEST(Abc, ATuneWithoutNotesIsAnError) {
  const auto score = read_score("X:1\nT:Nothing\nK:C\n", {"empty.abc", {}});
  ASSERT_FALSE(score);
  EXPECT_EQ(score.error().line(),
            "empty.abc:1: the tune has no notes. Give a tune with notes after K:.");
}

TEST(Abc, PizzicatoHoldsUntilArco) {
  const Timeline t = played("M:none\nL:1/4\nK:C", "A \"^pizz.\"B c \"^arco\"d !snap!e");
  std::vector<bool> plucked;
  for (const TimelineNote& note : t.notes) plucked.push_back(note.plucked);
  EXPECT_EQ(plucked, (std::vector{false, true, true, false, true}));
}

}  // namespace
}  // namespace endpin
