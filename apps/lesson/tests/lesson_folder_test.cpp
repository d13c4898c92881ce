#include "endpin/lesson_folder/lesson_folder.h"

#include <cstdlib>
#include <filesystem>
#include <set>
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

// Two bars: quick to draw, play and print.
LessonOrder two_bars(Language language = Language::en_us) {
  const std::string xml = R"(<?xml version="1.0"?><score-partwise version="4.0">
<work><work-title>Two Bars</work-title></work>
<part-list><score-part id="P1"><part-name>Cello</part-name></score-part></part-list>
<part id="P1"><measure number="1"><attributes><divisions>2</divisions><key><fifths>2</fifths></key>
<time><beats>4</beats><beat-type>4</beat-type></time><clef><sign>F</sign><line>4</line></clef>
</attributes><direction><sound tempo="120"/></direction>
<note><pitch><step>D</step><octave>3</octave></pitch><duration>3</duration><type>quarter</type><dot/>
</note><note><pitch><step>E</step><octave>3</octave></pitch><duration>1</duration><type>eighth</type>
</note><note><pitch><step>F</step><alter>1</alter><octave>3</octave></pitch><duration>4</duration>
<type>half</type></note></measure><measure number="2"><note><pitch><step>D</step><octave>3</octave>
</pitch><duration>8</duration><type>whole</type></note></measure></part></score-partwise>)";
  LessonOrder order;
  order.input = score_input(xml, "two-bars.musicxml", {}).value();
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

TEST(LessonPlan, NamesTheStepsWhenItDoesNotKnowOne) {
  LessonOrder order = ode();
  order.step = "nonsense";
  const auto plan = plan_lesson(order);
  ASSERT_FALSE(plan);
  EXPECT_THAT(plan.error().line(), HasSubstr("first-position"));
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

TEST(Cautions, StandOnTheSheetInEveryLanguage) {
  std::set<std::string> said;
  for (const Language language : all_languages) {
    const LessonOrder order = two_bars(language);
    const std::string cautions = sheet_of(order, plan_lesson(order).value(), {}).cautions;
    EXPECT_EQ(cautions.find('['), std::string::npos) << tag(language);
    EXPECT_GT(cautions.size(), 60U) << tag(language);
    said.insert(cautions);
  }
  EXPECT_GE(said.size(), std::size(all_languages) - 1);  // British English is the American one's
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
    for (const char* part : {"node_modules/@fontsource/alegreya", "dist-take-home"}) {
      if (!must && !fs::exists(fs::path(ENDPIN_SOURCE_DIR "/web") / part)) {
        GTEST_SKIP() << "not installed or built: npm --prefix web ci && npm --prefix web run build";
      }
    }
    folder_ = fs::path(testing::TempDir()) / "endpin-lesson-test";
    fs::remove_all(folder_);
  }
  void TearDown() override { fs::remove_all(folder_); }
  fs::path folder_;
};

TEST_F(LessonFolder, HoldsEveryFileThatItsJsonNames) {
  LessonOrder first = two_bars(Language::de);
  first.items = {"warm-up-finger-pattern", "drill-1-rhythm"};
  const auto written = write_lesson(first, folder_);
  ASSERT_TRUE(written) << written.error().line();
  const auto json = nlohmann::json::parse(read_file(folder_ / "lesson.json").value());
  EXPECT_EQ(json.at("schema"), "endpin.lesson/1");
  EXPECT_EQ(json.at("language"), "de");
  const auto schema =
      nlohmann::json::parse(read_file(ENDPIN_SOURCE_DIR "/docs/schema/lesson.schema.json").value());
  for (const auto& [name, value] : json.items()) {
    EXPECT_TRUE(schema["properties"].contains(name)) << name << " is not in the schema";
  }
  for (const auto& name : schema["required"]) EXPECT_TRUE(json.contains(name)) << name;
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

  // Written over, its drills go and what somebody put beside it stays.
  ASSERT_TRUE(write_file_atomically(folder_ / "mine.txt", "notes"));
  LessonOrder short_one = two_bars();
  short_one.items = {"piece"};
  const auto over = write_lesson(short_one, folder_);
  ASSERT_TRUE(over) << over.error().line();
  EXPECT_FALSE(fs::exists(folder_ / "warm-up-finger-pattern.opus"));
  EXPECT_TRUE(fs::exists(folder_ / "mine.txt"));
  EXPECT_TRUE(fs::exists(folder_ / "sheet.pdf"));

  // The same order gives the same bytes.
  const fs::path again = folder_ / "again";
  const auto same = write_lesson(short_one, again);
  ASSERT_TRUE(same) << same.error().line();
  for (const fs::directory_entry& entry : fs::directory_iterator(again)) {
    EXPECT_EQ(read_file(entry.path()).value(), read_file(folder_ / entry.path().filename()).value())
        << entry.path();
  }
}

TEST_F(LessonFolder, IsNotThereAfterAnError) {
  LessonOrder order = ode();
  order.items = {"no-such-item"};
  EXPECT_FALSE(write_lesson(order, folder_));
  EXPECT_FALSE(fs::exists(folder_));
}

}  // namespace
}  // namespace endpin::app
