#include "schema_check.h"

#include <gtest/gtest.h>

namespace endpin::contracts {
namespace {

using nlohmann::json;

const json schema = json::parse(R"({"type": "object", "required": ["a"], "properties": {
  "a": {"type": "integer", "minimum": 1}, "b": {"type": ["string", "null"]},
  "c": {"type": "array", "items": {"enum": ["x", "y"]}}}})");

std::size_t errors(const char* document) {
  return SchemaCheck::errors(schema, json::parse(document)).size();
}

TEST(SchemaCheck, TakesWhatFits) {
  EXPECT_EQ(errors(R"({"a": 1, "b": null, "c": ["x", "y"]})"), 0U);
}

TEST(SchemaCheck, NamesEveryPlaceThatDoesNotFit) {
  EXPECT_EQ(errors(R"({})"), 1U);
  EXPECT_EQ(errors(R"({"a": 0})"), 1U);
  EXPECT_EQ(errors(R"({"a": 1.5})"), 1U);
  EXPECT_EQ(errors(R"({"a": 1, "b": 2, "c": ["x", "z"], "d": 1})"), 3U);
}

TEST(SchemaCheck, ComparesTextsWithTheirPattern) {
  EXPECT_EQ(SchemaCheck::errors(json{{"pattern", "^a"}}, "a").size(), 0U);
  EXPECT_EQ(SchemaCheck::errors(json{{"pattern", "^a"}}, "b").size(), 1U);
}

TEST(SchemaCheck, FailsOnAKeywordThatItCanNotCheck) {
  EXPECT_EQ(SchemaCheck::errors(json{{"multipleOf", 2}}, 4).size(), 1U);
}

}  // namespace
}  // namespace endpin::contracts
