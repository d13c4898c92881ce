#include "endpin/app/score_input.h"

#include <string>

#include <gtest/gtest.h>

namespace endpin::app {
namespace {

const std::string demo = ENDPIN_SOURCE_DIR "/demo/pieces/";

TEST(ScoreInput, TakesPartAndInstrumentFromTheScore) {
  const auto input = read_score_input(demo + "greensleeves.musicxml", {});
  ASSERT_TRUE(input) << input.error().line();
  EXPECT_EQ(input->instrument, "viola");
  EXPECT_EQ(input->score.title, "Greensleeves");
  // Played: pickup and 8 bars, pickup and 7 bars with the second ending, twice 8 bars.
  EXPECT_EQ(input->timeline.bars.size(), 9u + 9u + 16u);
}

TEST(ScoreInput, NamesTheFileWhateverIsWrong) {
  const struct {
    std::string file;
    ScoreChoice choice;
  } cases[] = {{demo + "none.musicxml", {}},
               {demo + "../students.json", {}},
               {demo + "ode-to-joy.musicxml", {.part = "Oboe"}},
               {demo + "ode-to-joy.musicxml", {.part = "2"}}};
  for (const auto& c : cases) {
    const auto input = read_score_input(c.file, c.choice);
    ASSERT_FALSE(input) << c.file;
    EXPECT_EQ(input.error().kind, ErrorKind::input);
    EXPECT_EQ(input.error().line().find(c.file), 0u) << input.error().line();
    EXPECT_FALSE(input.error().remedy.empty()) << input.error().line();
  }
}

}  // namespace
}  // namespace endpin::app
