#include <fstream>
#include <iterator>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "endpin/timeline/timeline.h"

namespace endpin {
namespace {

// The pages' tests read the same file: both sides of the contract stand on one example.
TEST(TimelineFixture, IsReadAndWrittenUnchanged) {
  std::ifstream file(ENDPIN_SOURCE_DIR "/tests/fixtures/timeline.json");
  const std::string text{std::istreambuf_iterator<char>(file), {}};
  const auto timeline = timeline_from_json(text);
  ASSERT_TRUE(timeline) << timeline.error().line();
  EXPECT_EQ(nlohmann::json::parse(to_json(*timeline)), nlohmann::json::parse(text));
}

}  // namespace
}  // namespace endpin
