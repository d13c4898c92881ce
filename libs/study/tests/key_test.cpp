#include "endpin/study/key.h"

#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "endpin/words/sentence.h"

namespace endpin {
namespace {

Timeline tune(const std::vector<const char*>& pitches, int fifths) {
  Timeline t;
  t.fifths = fifths;
  for (const char* text : pitches) {
    TimelineNote note;
    note.index = static_cast<int>(t.notes.size());
    note.spelled = *SpelledPitch::parse(text);
    note.midi = note.spelled.midi();
    note.onset = Beats(note.index);
    note.duration = Beats(1);
    t.notes.push_back(note);
  }
  return t;
}

std::string key_of(const std::vector<const char*>& pitches, int fifths) {
  return say(find_key(tune(pitches, fifths)).says, Language::en_us);
}

// Ode to Joy (Beethoven), first line and last.
TEST(Key, OfOdeToJoyIsDMajor) {
  EXPECT_EQ(key_of({"F#4", "F#4", "G4", "A4", "A4", "G4", "F#4", "E4", "D4", "D4", "E4", "F#4",
                    "E4", "D4", "D4"},
                   2),
            "D major");
}

// Greensleeves (16th century) in A minor, with its raised sixth and seventh.
TEST(Key, OfGreensleevesIsMinor) {
  const auto t = tune({"A4", "C5", "D5", "E5", "F#5", "E5", "D5", "B4",  "G4", "A4",
                       "B4", "C5", "A4", "A4", "G#4", "A4", "B4", "G#4", "E4", "A4"},
                      0);
  const KeyFinding f = find_key(t);
  EXPECT_EQ(say(f.says, Language::en_us), "A minor");
  EXPECT_EQ(f.form, MinorForm::melodic);
  EXPECT_TRUE(f.agrees);
}

// The major scale of each signature and its relative minor, 3 semitones below.
TEST(Key, OfEverySignature) {
  for (int fifths = -7; fifths <= 7; ++fifths) {
    const int tonic = from_line_of_fifths(fifths, 4).midi();
    std::vector<std::string> up;
    for (const int n : {0, 2, 4, 5, 7, 9, 11, 12, 7, 4, 0})
      up.push_back(spell(tonic + n, fifths).text());
    std::vector<const char*> major;
    for (const std::string& text : up) major.push_back(text.c_str());
    const KeyFinding f = find_key(tune(major, fifths));
    EXPECT_EQ(f.key.mode, Mode::major);
    EXPECT_EQ(line_of_fifths(f.key.tonic), fifths);
    std::vector<std::string> down;
    for (const int n : {0, 2, 3, 5, 7, 8, 10, 12, 7, 3, 0}) {
      down.push_back(spell(tonic - 3 + n, fifths).text());
    }
    std::vector<const char*> minor;
    for (const std::string& text : down) minor.push_back(text.c_str());
    const KeyFinding g = find_key(tune(minor, fifths));
    EXPECT_EQ(g.key.mode, Mode::minor);
    EXPECT_EQ(line_of_fifths(g.key.tonic), fifths + 3);
    EXPECT_EQ(g.form, MinorForm::natural);
  }
}

TEST(Key, KnowsModesByWhereTheyEnd) {
  EXPECT_EQ(key_of({"D4", "E4", "F4", "G4", "A4", "B4", "C5", "D5", "A4", "F4", "D4", "D4"}, 0),
            "D Dorian");
  EXPECT_EQ(key_of({"G4", "A4", "B4", "C5", "D5", "E5", "F5", "G5", "D5", "B4", "G4", "G4"}, 0),
            "G Mixolydian");
}

TEST(Key, SaysWhereTheSignatureIsWrong) {
  const auto f = find_key(tune({"D4", "F#4", "A4", "D5", "C#5", "A4", "F#4", "E4", "C#4", "A4",
                                "D4", "F#4", "A4", "G4", "E4", "C#4", "D4", "D4"},
                               0));
  EXPECT_FALSE(f.agrees);
  EXPECT_EQ(say(f.says, Language::en_us), "D major");
}

// Where an upbeat to the repeat is the last note, the tune has come to rest before it.
TEST(Key, HearsWhereATuneComesToRest) {
  Timeline t = tune({"B4", "G4", "E4", "F#4", "G4", "A4", "B4", "E4", "B4", "G4", "E4", "D4"}, 1);
  for (int bar = 0; bar < 4; ++bar) {
    t.bars.push_back({std::to_string(bar + 1), bar, 1, Beats(3 * bar), Beats(3), 3, 4});
  }
  t.notes[10].duration = Beats(3, 2);
  t.notes[11].onset = Beats(23, 2);
  t.notes[11].duration = Beats(1, 2);
  EXPECT_EQ(say(find_key(t).says, Language::en_us), "E minor");
}

TEST(Key, BelievesADeclaredModeThatIsNotTheDefault) {
  const Timeline t =
      tune({"E4", "B4", "B4", "A4", "B4", "D5", "B4", "D5", "E5", "D5", "B4", "D4"}, 2);
  EXPECT_EQ(say(find_key(t, "dorian").says, Language::en_us), "E Dorian");
}

// A profile fits itself perfectly, and the correlation does not depend on the scale.
TEST(Key, ProfilesFitThemselves) {
  const PitchClasses krumhansl{6.35, 2.23, 3.48, 2.33, 4.38, 4.09,
                               2.52, 5.19, 2.39, 3.66, 2.29, 2.88};
  EXPECT_NEAR(profile_fit(krumhansl, 0, false, Profile::krumhansl), 1, 1e-12);
  PitchClasses turned{};
  for (std::size_t i = 0; i < 12; ++i) turned[(i + 7) % 12] = 3 * krumhansl[i];
  EXPECT_NEAR(profile_fit(turned, 7, false, Profile::krumhansl), 1, 1e-12);
}

}  // namespace
}  // namespace endpin
