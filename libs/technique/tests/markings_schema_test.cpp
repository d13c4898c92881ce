#include <fstream>
#include <iterator>

#include <gtest/gtest.h>

#include "../../../tests/contracts/schema_check.h"
#include "rhythm_piece.h"

namespace endpin {
namespace {

nlohmann::json schema() {
  std::ifstream file(ENDPIN_SOURCE_DIR "/docs/schema/markings.schema.json");
  return nlohmann::json::parse(std::string(std::istreambuf_iterator<char>(file), {}));
}

nlohmann::json written(const RhythmPiece& piece) {
  MarkingOptions options;
  options.alternatives = true;
  return nlohmann::json::parse(to_json(piece.mark(options), Language::de));
}

TEST(MarkingsSchema, HoldsOfPrintedMarksRemarksAndAlternatives) {
  const auto json =
      written(RhythmPiece({"1d 1 2", "1 1 1u 1", "3/2 1/2 ( 1 1 )", "1 r1 1u 1", "1u 1v 2", "4"}));
  EXPECT_FALSE(json["remarks"].empty());
  EXPECT_FALSE(json["alternatives"].empty());
  EXPECT_FALSE(json["downbeats"].empty());
  for (const std::string& error : contracts::SchemaCheck::errors(schema(), json)) {
    ADD_FAILURE() << error;
  }
}

TEST(MarkingsSchema, NoSentenceLacksAnArgumentInAnyLanguage) {
  MarkingOptions options;
  options.alternatives = true;
  const Markings markings =
      RhythmPiece({"1d 1 2", "1u 1 1 1", "3/2 1/2 ( 1 1d )", "1 r1 1u 1", "1 1 2"}).mark(options);
  for (const Language language : all_languages) {
    for (const MarkingRemark& remark : markings.remarks) {
      EXPECT_EQ(say(remark.says, language).find('['), std::string::npos) << remark.says.key;
      for (const RemarkOption& option : remark.options) {
        EXPECT_EQ(say(option.says, language).find('['), std::string::npos) << option.says.key;
      }
    }
    for (const MarkingAlternative& alternative : markings.alternatives) {
      EXPECT_EQ(say(alternative.says, language).find('['), std::string::npos);
    }
  }
}

}  // namespace
}  // namespace endpin
