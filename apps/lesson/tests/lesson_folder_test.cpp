#include "endpin/lesson_folder/lesson_folder.h"

#include <cstdlib>
#include <filesystem>
#include <string>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "endpin/app/files.h"

#include "sheet_of.h"

namespace endpin::app {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;

LessonOrder ode(Language language = Language::en_us) {
  LessonOrder order;
  order.input = read_score_input(ENDPIN_SOURCE_DIR "/demo/pieces/ode-to-joy.musicxml", {}).value();
  order.date = "2026-03-01";
  order.language = language;
  return order;
}

TEST(LessonPlan, ProposesWarmUpsThePieceAndALadder) {
  const auto plan = plan_lesson(ode());
  ASSERT_TRUE(plan) << plan.error().line();
  EXPECT_NE(plan->lesson.find_exercise("warm-up-scale"), nullptr);
  EXPECT_THAT(plan->lesson.order, testing::Contains("piece"));
  EXPECT_THAT(plan->lesson.order, testing::Contains("ladder"));
}

TEST(LessonPlan, TakesTheItemsThatWereAskedForInTheirOrder) {
  LessonOrder order = ode();
  order.items = {"piece", "warm-up-arpeggio"};
  const auto plan = plan_lesson(order);
  ASSERT_TRUE(plan) << plan.error().line();
  EXPECT_THAT(plan->lesson.order, testing::ElementsAre("piece", "warm-up-arpeggio"));
  order.items = {"no-such-item"};
  EXPECT_EQ(plan_lesson(order).error().kind, ErrorKind::input);
}

TEST(LessonPlan, RefusesATempoThatNobodyPlays) {
  for (const double tempo : {0.0, 1000.0}) {
    LessonOrder order = ode();
    order.goal_per_minute = tempo;
    const auto plan = plan_lesson(order);
    ASSERT_FALSE(plan);
    EXPECT_THAT(plan.error().line(), HasSubstr("ode-to-joy.musicxml"));
    EXPECT_THAT(plan.error().line(), HasSubstr("out of range"));
  }
}

TEST(DateText, IsWrittenAsEachLanguageWritesIt) {
  EXPECT_EQ(date_text("2026-03-01", Language::en_us), "March 1, 2026");
  EXPECT_EQ(date_text("2026-03-01", Language::en_gb), "1 March 2026");
  EXPECT_EQ(date_text("2026-03-01", Language::de), "1. März 2026");
  EXPECT_EQ(date_text("2026-03-01", Language::fr), "1er mars 2026");
  EXPECT_EQ(date_text("2026-12-31", Language::es), "31 de diciembre de 2026");
}

TEST(TempoText, ShowsTheBeatAsANote) {
  EXPECT_EQ(tempo_text(Beats(1), 66), "♩ = 66");
  EXPECT_EQ(tempo_text(Beats(3, 2), 52), "♩. = 52");
}

// The engraver and the fonts come with the web packages: see apps/engraving/tests.
class LessonFolder : public testing::Test {
 protected:
  void SetUp() override {
    const bool must = std::getenv("CI") != nullptr || std::getenv("ENDPIN_CHECK") != nullptr;
    if (!must && !fs::exists(ENDPIN_SOURCE_DIR "/web/node_modules/@fontsource/alegreya")) {
      GTEST_SKIP() << "the web packages are not installed: npm --prefix web ci";
    }
    folder_ = fs::path(testing::TempDir()) / "endpin-lesson-test";
    fs::remove_all(folder_);
  }
  void TearDown() override { fs::remove_all(folder_); }
  fs::path folder_;
};

TEST_F(LessonFolder, HoldsEveryFileThatItsJsonNames) {
  const auto written = write_lesson(ode(Language::de), folder_);
  ASSERT_TRUE(written) << written.error().line();
  const auto json = nlohmann::json::parse(read_file(folder_ / "lesson.json").value());
  EXPECT_EQ(json.at("schema"), "endpin.lesson/1");
  EXPECT_EQ(json.at("language"), "de");
  std::vector<std::string> files{json["sheet"]["html"], json["sheet"]["pdf"],
                                 json["piece"]["score"]};
  for (const auto& name : json["piece"]["pictures"]) files.push_back(name);
  for (const auto& name : json["piece"]["sounds"]) files.push_back(name);
  for (const auto& exercise : json["exercises"]) {
    files.push_back(exercise["picture"]);
    files.push_back(exercise["sound"]);
    const std::string svg = read_file(folder_ / exercise["picture"]).value();
    for (const auto& note : exercise["timeline"]["notes"]) {
      EXPECT_THAT(svg, HasSubstr("id=\"" + note["id"].get<std::string>() + "\""));
    }
  }
  for (const std::string& file : files) EXPECT_TRUE(fs::exists(folder_ / file)) << file;
}

TEST_F(LessonFolder, IsNotThereAfterAnError) {
  LessonOrder order = ode();
  order.items = {"no-such-item"};
  EXPECT_FALSE(write_lesson(order, folder_));
  EXPECT_FALSE(fs::exists(folder_));
}

}  // namespace
}  // namespace endpin::app
