#include "endpin/base/pitch.h"

#include <gtest/gtest.h>

namespace endpin {
namespace {

SpelledPitch pitch(const char* text) { return SpelledPitch::parse(text).value(); }

TEST(SpelledPitch, KeepsItsSpelling) {
  EXPECT_NE(pitch("C#4"), pitch("Db4"));
  EXPECT_EQ(pitch("C#4").midi(), pitch("Db4").midi());
  EXPECT_EQ(pitch("B#3").midi(), pitch("C4").midi());
}

TEST(SpelledPitch, ParsesWhatItWrites) {
  for (const char* text : {"C4", "F#3", "Bb2", "Abb1", "G##5"}) EXPECT_EQ(pitch(text).text(), text);
  for (const char* bad : {"", "H4", "C", "C#", "C4x", "c4"}) EXPECT_FALSE(SpelledPitch::parse(bad));
}

// Open strings in equal temperament, A4 = 440 Hz (ISO 16:1975); values follow by arithmetic.
TEST(SpelledPitch, OpenStringsHaveTheTablesFrequencies) {
  const struct {
    const char* note;
    double hz;
  } table[] = {{"G3", 196.00}, {"D4", 293.66}, {"A4", 440.00}, {"E5", 659.26},
               {"C3", 130.81}, {"C2", 65.41},  {"G2", 98.00},  {"D3", 146.83},
               {"A3", 220.00}, {"E1", 41.20},  {"A1", 55.00},  {"D2", 73.42}};
  for (const auto& row : table) {
    EXPECT_NEAR(frequency(pitch(row.note)).value(), row.hz, 0.005) << row.note;
  }
}

TEST(SpelledPitch, LineOfFifthsRoundTrips) {
  for (int place = -15; place <= 19; ++place) {
    EXPECT_EQ(line_of_fifths(from_line_of_fifths(place, 4)), place);
  }
  EXPECT_EQ(line_of_fifths(pitch("F#3")), 6);
  EXPECT_EQ(line_of_fifths(pitch("Bb3")), -2);
}

// The order of sharps F C G D A E B and of flats B E A D G C F (common practice).
TEST(SpelledPitch, SpellsTheNotesOfAKeyByItsSignature) {
  EXPECT_EQ(spell(66, 1).text(), "F#4");   // G major
  EXPECT_EQ(spell(70, -1).text(), "Bb4");  // F major
  EXPECT_EQ(spell(61, -5).text(), "Db4");  // D flat major
  EXPECT_EQ(spell(61, 2).text(), "C#4");   // D major
  EXPECT_EQ(spell(59, -7).text(), "Cb4");  // C flat major
  EXPECT_EQ(spell(60, 7).text(), "B#3");   // C sharp major
}

TEST(SpelledPitch, SpellsEveryMidiNumberInEveryKeyAtItsOwnPitch) {
  for (int fifths = -7; fifths <= 7; ++fifths) {
    for (int midi = 0; midi < 128; ++midi) EXPECT_EQ(spell(midi, fifths).midi(), midi);
  }
}

}  // namespace
}  // namespace endpin
