#include "endpin/study/counting.h"

#include <string>

#include <gtest/gtest.h>

#include "endpin/notation/read.h"
#include "endpin/score/unfold.h"

namespace endpin {
namespace {

Timeline tune(const std::string& body) {
  const auto score = read_score("X:1\nT:count\nL:1/8\n" + body + "\n");
  return *timeline(*score, 0, "violin");
}

// "1 (2) & [3]": the places of bar `index` in the order of time.
std::string counted(const std::string& body, std::size_t index = 0,
                    Language language = Language::en_us, std::string_view scheme = {}) {
  std::string text;
  const Counting counting = count_bars(tune(body), scheme);
  for (const CountedPlace& place : counting.bars.at(index).places) {
    std::string word = say(place.says, language);
    if (place.kind == CountedPlace::Kind::held) word = "(" + word + ")";
    if (place.kind == CountedPlace::Kind::rest) word = "[" + word + "]";
    text += (text.empty() ? "" : " ") + word;
  }
  return text;
}

// "1 & 2 &", "1 e & a" (practice).
TEST(Counting, OfSimpleMetres) {
  EXPECT_EQ(counted("M:4/4\nK:G\nG2 A2 B2 c2|"), "1 2 3 4");
  EXPECT_EQ(counted("M:2/4\nK:G\nGA Bc|"), "1 & 2 &");
  EXPECT_EQ(counted("M:2/4\nK:G\nG/A/B/c/ dB|"), "1 e & a 2 &");
  EXPECT_EQ(counted("M:2/4\nK:G\nG>A B>c|"), "1 a 2 a");
}

TEST(Counting, SaysBeatsThatAreHeldAndBeatsOfRest) {
  EXPECT_EQ(counted("M:4/4\nK:G\nG4 z2 A2|"), "1 (2) [3] 4");
  EXPECT_EQ(counted("M:4/4\nK:G\nG3 A B4|"), "1 (2) & 3 (4)");
  EXPECT_EQ(counted("M:3/4\nK:G\nG6-|G2 A2 B2|", 1), "(1) 2 3");
}

// Compound metre in two, thirds as "1 la li" (McHose & Tibbs, Sight-Singing Manual, 1945; memory).
TEST(Counting, OfCompoundMetresIsInBeatsOfThree) {
  EXPECT_EQ(counted("M:6/8\nK:G\nGAB c2d|"), "1 la li 2 li");
  EXPECT_EQ(counted("M:9/8\nK:G\nG3 A3 BGA|"), "1 2 3 la li");
}

TEST(Counting, OfTripletsIsInThirds) { EXPECT_EQ(counted("M:2/4\nK:G\n(3GAB c2|"), "1 la li 2"); }

// A pickup is counted with the last beats of its bar.
TEST(Counting, OfAPickupBeginsLate) {
  EXPECT_EQ(counted("M:3/4\nK:G\nD2|G4 A2|B6|"), "3");
  EXPECT_EQ(counted("M:4/4\nK:G\nGA|B2 A2 G4|"), "4 &");
  EXPECT_EQ(counted("M:6/8\nK:G\nD|GAB AGE|"), "li");
}

TEST(Counting, SpeaksEachLanguage) {
  EXPECT_EQ(counted("M:2/4\nK:G\nGA B2|", 0, Language::de), "1 und 2");
  EXPECT_EQ(counted("M:2/4\nK:G\nGA B2|", 0, Language::fr), "1 et 2");
  EXPECT_EQ(counted("M:2/4\nK:G\nGA B2|", 0, Language::es), "1 y 2");
}

// Hoffman, Pelto & White 1996 (memory): simple ta ka di mi, compound ta va ki di da ma.
TEST(Counting, KnowsTheSyllablesOfTheBeatsPlaces) {
  EXPECT_EQ(counted("M:2/4\nK:G\nG/A/B/c/ dB|", 0, Language::en_us, "takadimi"),
            "ta ka di mi ta di");
  EXPECT_EQ(counted("M:6/8\nK:G\nG/A/B/c/d/e/ dBA|", 0, Language::en_us, "takadimi"),
            "ta va ki di da ma ta ki da");
}

// Time names by value (memory): a half note is ta-a, eighths ti ti, sixteenths ti ri ti ri.
TEST(Counting, KnowsTheSyllablesOfValues) {
  EXPECT_EQ(counted("M:4/4\nK:G\nG4 AB c/B/A/G/|", 0, Language::en_us, "ta-titi"),
            "ta-a ti ti ti ri ti ri");
  EXPECT_EQ(counted("M:2/4\nK:G\nG2 z2|", 0, Language::en_us, "ta-titi"), "ta [sh]");
}

TEST(Counting, FindsTheHardestBarAndNoneWhereAllIsPlain) {
  EXPECT_FALSE(count_bars(tune("M:4/4\nK:G\nG2A2B2c2|d4 B4|G8|")).hardest);
  const Counting counting = count_bars(tune("M:4/4\nK:G\nG2A2B2c2|G A2 B2 A2 G|G8|"));
  ASSERT_TRUE(counting.hardest);
  EXPECT_EQ(counting.bars[*counting.hardest].bar, "2");
}

TEST(Counting, IsWrittenUnderTheNotes) {
  const Counting counting = count_bars(tune("M:4/4\nK:G\nG3 A B4|"));
  EXPECT_EQ(describe(counting.bars[0], Language::en_us), "G4     A4 B4\n1  (2) &  3  (4)\n");
}

TEST(Counting, KnowsOnlyTheSchemesThatThereAre) {
  EXPECT_TRUE(find_counting_scheme(""));
  EXPECT_FALSE(find_counting_scheme("abacus"));
}

}  // namespace
}  // namespace endpin
