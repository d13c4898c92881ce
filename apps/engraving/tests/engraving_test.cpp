#include "endpin/engraving/engraving.h"

#include <cstdlib>
#include <filesystem>
#include <string>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace endpin::app {
namespace {

using testing::HasSubstr;
using testing::Not;

// Two bars in D major: n1 has a fingering and a down-bow, n2 a fingering.
const char* const two_bars = R"(<?xml version="1.0" encoding="UTF-8"?>
<score-partwise version="4.0"><part-list><score-part id="P1"><part-name/></score-part></part-list>
<part id="P1"><measure number="1"><attributes><divisions>1</divisions><key><fifths>2</fifths></key>
<time><beats>2</beats><beat-type>4</beat-type></time><clef><sign>F</sign><line>4</line></clef>
</attributes>
<note id="n1"><pitch><step>D</step><octave>3</octave></pitch><duration>1</duration>
<type>quarter</type><notations><technical><down-bow/><fingering>0</fingering></technical>
</notations></note>
<note id="n2"><pitch><step>E</step><octave>3</octave></pitch><duration>1</duration>
<type>quarter</type><notations><technical><fingering>1</fingering></technical></notations></note>
</measure><measure number="2"><note id="n3"><pitch><step>F</step><alter>1</alter><octave>3</octave>
</pitch><duration>2</duration><type>half</type></note></measure></part></score-partwise>)";

// The engraver comes with the web packages. A tree that was only built has none yet; `./check`
// installs them first and says so with CI or ENDPIN_CHECK.
class EngravingTest : public testing::Test {
 protected:
  void SetUp() override {
    const bool must = std::getenv("CI") != nullptr || std::getenv("ENDPIN_CHECK") != nullptr;
    if (!must && !std::filesystem::exists(ENDPIN_SOURCE_DIR "/web/node_modules/verovio")) {
      GTEST_SKIP() << "the web packages are not installed: npm --prefix web ci";
    }
  }
};

TEST_F(EngravingTest, KeepsTheIdsOfNotes) {
  const auto drawn = engrave(two_bars);
  ASSERT_TRUE(drawn) << drawn.error().line();
  ASSERT_EQ(drawn->pages.size(), 1u);
  for (const char* id : {"n1", "n2", "n3"}) {
    EXPECT_THAT(drawn->pages[0], HasSubstr(std::string("<g id=\"") + id + "\" class=\"note\""));
  }
}

TEST_F(EngravingTest, GivesTheSameBytesTwiceAndOtherIdsForAnotherSeed) {
  EngraveOptions other;
  other.seed = 2;
  const auto drawn = engrave_all({{two_bars, {}}, {two_bars, {}}, {two_bars, other}});
  ASSERT_TRUE(drawn) << drawn.error().line();
  EXPECT_EQ((*drawn)[0].pages, (*drawn)[1].pages);
  EXPECT_NE((*drawn)[0].pages, (*drawn)[2].pages);
}

TEST_F(EngravingTest, TellsProposedMarksFromPrintedOnes) {
  EngraveOptions options;
  options.proposed_fingers = {"n2"};
  options.proposed_bows = {"n1"};
  const auto drawn = engrave(two_bars, options);
  ASSERT_TRUE(drawn) << drawn.error().line();
  const std::string& page = drawn->pages.at(0);
  EXPECT_THAT(page, HasSubstr("class=\"fing proposed\" data-startid=\"#n2\""));
  EXPECT_THAT(page, HasSubstr("class=\"fing\" data-startid=\"#n1\""));
  EXPECT_THAT(page, HasSubstr("class=\"artic technical proposed\""));
  EXPECT_THAT(engrave(two_bars)->pages.at(0), Not(HasSubstr("proposed")));
}

TEST_F(EngravingTest, NeedsNothingFromOutside) {
  const auto drawn = engrave(two_bars);
  ASSERT_TRUE(drawn) << drawn.error().line();
  const std::string& page = drawn->pages.at(0);
  EXPECT_THAT(page, Not(HasSubstr("url(http")));
  EXPECT_THAT(page, Not(HasSubstr("href=\"http")));
  EXPECT_THAT(page, Not(HasSubstr("<image")));
}

TEST_F(EngravingTest, OfWhatIsNoScoreIsAnErrorOfInput) {
  const auto drawn = engrave("this is no score");
  ASSERT_FALSE(drawn);
  EXPECT_EQ(drawn.error().kind, ErrorKind::input);
}

TEST_F(EngravingTest, WithoutTheEngraverIsAnErrorOfTheMachine) {
  ::setenv("ENDPIN_ROOT", "/nonexistent", 1);
  const auto drawn = engrave(two_bars);
  ::unsetenv("ENDPIN_ROOT");
  ASSERT_FALSE(drawn);
  EXPECT_EQ(drawn.error().kind, ErrorKind::machine);
}

TEST_F(EngravingTest, StopsAtItsTimeLimit) {
  const auto drawn = engrave(two_bars, {}, Seconds(0.02));
  ASSERT_FALSE(drawn);
  EXPECT_EQ(drawn.error().kind, ErrorKind::machine);
  EXPECT_THAT(drawn.error().what, HasSubstr("was not done in"));
}

}  // namespace
}  // namespace endpin::app
