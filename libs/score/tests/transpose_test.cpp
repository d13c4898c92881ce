#include "endpin/score/transpose.h"

#include <array>
#include <cstdlib>

#include <gtest/gtest.h>

#include "endpin/score/unfold.h"

namespace endpin {
namespace {

SpelledPitch p(const char* text) { return SpelledPitch::parse(text).value(); }

TEST(Transposed, KeepsTheSpellingOfTheInterval) {
  EXPECT_EQ(transposed(p("F#3"), 1, 7), p("C#4"));  // a fifth up
  EXPECT_EQ(transposed(p("Bb3"), 2, 2), p("C4"));   // a whole tone up
  EXPECT_EQ(transposed(p("B3"), -5, 1), p("C4"));   // a minor second up
  EXPECT_EQ(transposed(p("E4"), -3, 3), p("G4"));   // a minor third up
  EXPECT_EQ(transposed(p("D4"), 0, -24), p("D2"));
}

// Names and sizes of intervals: the usual ones of music theory (a major third is four semitones).
TEST(ParseInterval, KnowsTheIntervalsByTheirNames) {
  const auto is = [](const char* text) { return parse_interval(text, 0).value(); };
  EXPECT_EQ(is("M2"), (Interval{2, 2}));
  EXPECT_EQ(is("-m3"), (Interval{3, -3}));
  EXPECT_EQ(is("P5"), (Interval{1, 7}));
  EXPECT_EQ(is("A4"), (Interval{6, 6}));
  EXPECT_EQ(is("d5"), (Interval{-6, 6}));
  EXPECT_EQ(is("P8"), (Interval{0, 12}));
  EXPECT_EQ(is("M9"), (Interval{2, 14}));
  for (const char* wrong : {"", "-", "X3", "P3", "M5", "M0", "M99", "2x", "25", "m"}) {
    EXPECT_FALSE(parse_interval(wrong, 0)) << wrong;
  }
}

TEST(ParseInterval, SpellsSemitonesByTheKeyWithFewestSigns) {
  EXPECT_EQ(parse_interval("1", 0).value(), (Interval{-5, 1}));   // C to D flat, not C sharp
  EXPECT_EQ(parse_interval("-1", 1).value(), (Interval{5, -1}));  // G to F sharp: six of either
  EXPECT_EQ(parse_interval("2", 5).value(), (Interval{-10, 2}));  // B to D flat, not C sharp
}

// The handbook's table: majors C G D A E B F# C#, F Bb Eb Ab Db Gb Cb; relative minors a third
// below.
TEST(IntervalToKey, ReachesAllFifteenKeysAndNoOthers) {
  const std::array<const char*, 15> majors{"Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C",
                                           "G",  "D",  "A",  "E",  "B",  "F#", "C#"};
  const std::array<const char*, 15> minors{"Ab", "Eb", "Bb", "F",  "C",  "G",  "D", "A",
                                           "E",  "B",  "F#", "C#", "G#", "D#", "A#"};
  for (int fifths = -7; fifths <= 7; ++fifths) {
    const auto i = static_cast<std::size_t>(fifths + 7);
    EXPECT_EQ(interval_to_key(majors[i], 0, false)->fifths, fifths);
    EXPECT_EQ(interval_to_key(minors[i], 0, true)->fifths, fifths);
    const int semitones = interval_to_key(majors[i], 3, false)->semitones;
    EXPECT_TRUE(semitones >= -5 && semitones <= 6);
  }
  for (const char* none : {"", "H", "G#", "Fb", "c4", "major"}) {
    EXPECT_FALSE(interval_to_key(none, 0, false)) << none;
  }
  EXPECT_FALSE(interval_to_key("Db", 0, true));
}

Score scale_in(int fifths) {
  Score score;
  Part part;
  part.name = "Cello";
  Bar bar;
  bar.number = "1";
  bar.length = Beats(8);
  Change key;
  key.key.fifths = fifths;
  bar.changes = {key};
  for (int i = 0; i < 8; ++i) {
    Note note;
    note.id = "n" + std::to_string(i);
    note.onset = Beats(i);
    note.duration = Beats(1);
    note.pitch = spell(48 + ((7 * fifths) % 12 + 12) % 12 +
                           std::array{0, 2, 4, 5, 7, 9, 11, 12}[static_cast<std::size_t>(i)],
                       fifths);
    note.printed.fingers = {1};
    note.printed.bow = Bow::down;
    bar.notes.push_back(note);
  }
  part.bars = {bar};
  score.parts = {part};
  return score;
}

// From each of the 15 keys by each interval of two octaves: the timeline moves by the semitones,
// the scale stays a scale of its new signature.
TEST(TransposedScore, IsTheTimelineMovedAndSpelledByItsKey) {
  for (int fifths = -7; fifths <= 7; ++fifths) {
    const Score score = scale_in(fifths);
    const Timeline before = timeline(score, 0, "cello").value();
    for (int semitones = -24; semitones <= 24; ++semitones) {
      const Interval interval = parse_interval(std::to_string(semitones), fifths).value();
      const Score moved = transposed(score, interval);
      const Timeline after = timeline(moved, 0, "cello").value();
      ASSERT_LE(std::abs(after.fifths), 7);
      ASSERT_EQ(after.notes.size(), before.notes.size());
      for (std::size_t i = 0; i < after.notes.size(); ++i) {
        EXPECT_EQ(after.notes[i].midi, before.notes[i].midi + semitones);
        EXPECT_EQ(after.notes[i].onset, before.notes[i].onset);
        EXPECT_EQ(after.notes[i].id, before.notes[i].id);
        // A note of the key lies from one fifth below its tonic to five above.
        const int place = line_of_fifths(after.notes[i].spelled) - after.fifths;
        EXPECT_TRUE(place >= -1 && place <= 5) << after.notes[i].spelled.text();
        const NoteMarkings& marks = moved.parts[0].bars[0].notes[i].printed;
        EXPECT_TRUE(marks.fingers.empty());
        EXPECT_EQ(marks.bow, Bow::down);
      }
    }
  }
}

TEST(TransposedScore, GoesBackToWhereItCameFrom) {
  const Score score = scale_in(1);
  for (const char* up : {"M2", "m3", "P4", "P8"}) {
    const Interval there = parse_interval(up, 1).value();
    const Interval back{-there.fifths, -there.semitones};
    const Score again = transposed(transposed(score, there), back);
    for (std::size_t i = 0; i < 8; ++i) {
      EXPECT_EQ(again.parts[0].bars[0].notes[i].pitch, score.parts[0].bars[0].notes[i].pitch);
    }
  }
}

}  // namespace
}  // namespace endpin
