#include <fstream>
#include <iterator>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "endpin/hearing/hearing.h"

namespace endpin {
namespace {

// The pages' tests read the same file: both sides of the contract stand on one example.
TEST(HearingFixture, IsReadAndWrittenUnchanged) {
  std::ifstream file(ENDPIN_SOURCE_DIR "/tests/fixtures/hearing.json");
  const std::string text{std::istreambuf_iterator<char>(file), {}};
  const auto hearing = hearing_from_json(text);
  ASSERT_TRUE(hearing) << hearing.error().line();
  EXPECT_EQ(nlohmann::json::parse(to_json(*hearing)), nlohmann::json::parse(text));
}

}  // namespace
}  // namespace endpin
