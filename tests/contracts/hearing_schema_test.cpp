#include <fstream>
#include <iterator>

#include <gtest/gtest.h>

#include "endpin/listen/findings.h"

#include "played.h"
#include "schema_check.h"

namespace endpin::listen {
namespace {

nlohmann::json hearing_schema() {
  std::ifstream file(ENDPIN_SOURCE_DIR "/docs/schema/hearing.schema.json");
  return nlohmann::json::parse(std::string(std::istreambuf_iterator<char>(file), {}));
}

void expect_documented(const Hearing& hearing) {
  const auto document = nlohmann::json::parse(to_json(hearing));
  for (const auto& error : contracts::SchemaCheck::errors(hearing_schema(), document)) {
    ADD_FAILURE() << error;
  }
}

Hearing heard_with_findings(const Tune& tune, const Recording& recording) {
  Hearing hearing = hear_one(tune, recording);
  add_findings(hearing, std::span(&tune.timeline, 1));
  return hearing;
}

const std::vector<int> melody{67, 69, 71, 72, 74, 71, 67, 69, 71, 67, 74, 76, 78, 79, 76, 74};

TEST(HearingSchema, HoldsOfATakeWithARestartAFlatAndAForeignNote) {
  const Tune tune(melody);
  Tune played(melody);
  played.timeline.notes[9].midi = 66;
  const Hearing h = heard_with_findings(
      tune, play(played, {0, 1, 2, 3, 4, 5, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15}));
  ASSERT_EQ(h.status, HearingStatus::ok);
  EXPECT_FALSE(h.restarts.empty());
  EXPECT_FALSE(h.findings.empty());
  expect_documented(h);
}

TEST(HearingSchema, HoldsOfWhatIsRefused) {
  const Tune tune(melody);
  expect_documented(heard_with_findings(tune, Recording(1)));
  expect_documented(heard_with_findings(tune, Recording(8)));
}

}  // namespace
}  // namespace endpin::listen
