#include "endpin/lesson_folder/class_set_folder.h"

#include <filesystem>
#include <string>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "endpin/app/files.h"
#include "endpin/engraving/pdf.h"
#include "endpin/media/decode.h"
#include "endpin/media/loudness.h"
#include "endpin/notation/read.h"

namespace endpin::app {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;

ClassSetOrder ode() {
  ClassSetOrder order;
  order.input = read_score_input(ENDPIN_SOURCE_DIR "/demo/pieces/ode-to-joy.musicxml", {}).value();
  order.date = "2026-03-01";
  return order;
}

// Everything that a JSON value names as a file.
void expect_files(const nlohmann::json& json, const fs::path& folder, int& found) {
  if (json.is_structured()) {
    for (const auto& value : json) expect_files(value, folder, found);
  } else if (json.is_string()) {
    const std::string text = json.get<std::string>();
    for (const char* ending : {".musicxml", ".opus", ".html", ".pdf"}) {
      if (!text.ends_with(ending)) continue;
      ++found;
      EXPECT_TRUE(fs::exists(folder / text)) << text;
    }
  }
}

TEST(ClassSetPlan, SaysInEveryLanguageWhatIsStrainedAndWhichKeysAreNot) {
  const ClassSetOrder order = ode();
  const ClassSet set = plan_class_set(order).value();
  for (const Language language : all_languages) {
    for (const std::string& line : remarks_on(set, language)) {
      EXPECT_EQ(line.find('['), std::string::npos) << line;
      EXPECT_EQ(line.find('{'), std::string::npos) << line;
    }
  }
  ClassSetOrder wrong = ode();
  wrong.step = "nonsense";
  EXPECT_THAT(plan_class_set(wrong).error().line(), HasSubstr("ode-to-joy.musicxml"));
}

// Engraver and fonts come with the web packages: see apps/engraving/tests.
TEST(ClassSetFolder, HoldsEveryFileThatItsJsonNames) {
  const bool must = std::getenv("CI") != nullptr || std::getenv("ENDPIN_CHECK") != nullptr;
  if (!must && !fs::exists(ENDPIN_SOURCE_DIR "/web/node_modules/@fontsource/alegreya")) {
    GTEST_SKIP() << "not installed: npm --prefix web ci";
  }
  const fs::path folder = fs::path(testing::TempDir()) / "endpin-class-set-test";
  fs::remove_all(folder);
  ClassSetOrder order = ode();
  order.language = Language::de;
  order.instruments = {InstrumentKind::violin, InstrumentKind::bass};
  const auto written = write_class_set(order, plan_class_set(order).value(), folder);
  ASSERT_TRUE(written) << written.error().line();

  const auto json = nlohmann::json::parse(read_file(folder / "set.json").value());
  const auto schema =
      nlohmann::json::parse(read_file(ENDPIN_SOURCE_DIR "/docs/schema/set.schema.json").value());
  for (const auto& [name, value] : json.items()) {
    EXPECT_TRUE(schema["properties"].contains(name)) << name << " is not in the schema";
  }
  for (const auto& name : schema["required"]) EXPECT_TRUE(json.contains(name)) << name;
  int found = 0;
  expect_files(json, folder, found);
  EXPECT_GE(found, 1 + 2 + 3 + 2 * 5);

  // What was written is read back as the tune of that instrument.
  const auto score = read_score(read_file(folder / "score.musicxml").value(), {});
  ASSERT_TRUE(score) << score.error().line();
  EXPECT_EQ(score->parts.size(), 2U);
  const std::string pdf = read_file(folder / "sheets.pdf").value();
  EXPECT_GE(page_count(pdf), 3);
  for (const char* name : {"all.opus", "without-violin.opus", "without-bass.opus"}) {
    const auto loudness = measure_loudness(decode((folder / name).string()).value());
    EXPECT_NEAR(loudness->integrated_lufs, -16, 1) << name;
    EXPECT_LE(loudness->true_peak_dbtp, -1) << name;
  }
  fs::remove_all(folder);
}

}  // namespace
}  // namespace endpin::app
