#include "endpin/words/sentence.h"

#include <gtest/gtest.h>

namespace endpin {
namespace {

TEST(Sentence, FillsInNoteNamesOfTheLanguage) {
  const Sentence key{"key.major", {{"tonic", "Bb"}}};
  EXPECT_EQ(say(key, Language::en_us), "B♭ major");
  EXPECT_EQ(say(key, Language::de), "B-Dur");
  EXPECT_EQ(say(key, Language::fr), "si♭ majeur");
  EXPECT_EQ(say(Sentence{"key.minor", {{"tonic", "F#"}}}, Language::de), "fis-Moll");
}

TEST(Sentence, ListsBarsInTheReadersWord) {
  const Sentence bars{"word.in_bars", {{"bars", "3,4,5,9"}}};
  EXPECT_EQ(say(bars, Language::en_us), "measures 3–5 and 9");
  EXPECT_EQ(say(bars, Language::en_gb), "bars 3–5 and 9");
  EXPECT_EQ(say(bars, Language::de), "Takte 3–5 und 9");
  EXPECT_EQ(say(Sentence{"word.in_bars", {{"bars", "7"}}}, Language::en_gb), "bar 7");
  EXPECT_EQ(say(Sentence{"word.in_bars", {{"bars", "7,8"}}}, Language::en_gb), "bars 7 and 8");
}

TEST(Sentence, BeginsALineWithACapital) {
  const Sentence redundant{"bowing.redundant", {{"bars", "5"}}};
  EXPECT_EQ(say_line(redundant, Language::en_us),
            "Measure 5: the printed bow marks say what comes anyway");
  EXPECT_EQ(say_line(redundant, Language::en_gb).substr(0, 6), "Bar 5:");
  EXPECT_EQ(say_line(redundant, Language::es).substr(0, 2), "Co");  // compás
  EXPECT_EQ(say_line({"no.such.key", {}}, Language::fr), "[no.such.key]");
}

TEST(Sentence, ShowsWhatIsMissingAndGoesOn) {
  EXPECT_EQ(say("no.such.key", Language::fr), "[no.such.key]");
  EXPECT_EQ(say(Sentence{"key.major", {}}, Language::en_us), "[tonic] major");
}

TEST(Sentence, WritesNumbersWithoutTrailingZeros) {
  EXPECT_EQ(argument(2.50), "2.5");
  EXPECT_EQ(argument(3.0), "3");
  EXPECT_EQ(argument(100), "100");
  EXPECT_EQ(argument(100.0, 0), "100");
}

TEST(Language, IsFoundByItsTagAndByItsRelatives) {
  EXPECT_EQ(find_language("en-US"), Language::en_us);
  EXPECT_EQ(find_language("en"), Language::en_us);
  EXPECT_EQ(find_language("en_AU"), Language::en_gb);
  EXPECT_EQ(find_language("de-AT"), Language::de);
  EXPECT_EQ(find_language("PT-br"), Language::pt);
  EXPECT_EQ(find_language("tlh"), std::nullopt);
}

TEST(Sentences, WriteDecimalsAsTheLanguageDoes) {
  const Sentence speed{"study.step.speed", {{"rate", "2.5"}}};
  EXPECT_EQ(say(speed, Language::en_gb), "2.5 notes a second");
  EXPECT_EQ(say(speed, Language::de), "2,5 Töne in der Sekunde");
}

}  // namespace
}  // namespace endpin
