#include "endpin/base/result.h"

#include <memory>
#include <string>

#include <gtest/gtest.h>

namespace endpin {
namespace {

Result<int> half(int n) {
  if (n % 2 != 0)
    return Unexpected(Error{ErrorKind::input, "n", "", "is odd", "Give an even one."});
  return n / 2;
}

TEST(Result, HandsAValueOn) {
  const auto r = half(8).and_then(half).transform([](int n) { return std::to_string(n); });
  ASSERT_TRUE(r.has_value());
  EXPECT_EQ(*r, "2");
}

TEST(Result, StopsAtTheFirstError) {
  const auto r = half(6).and_then(half).and_then(half);
  ASSERT_FALSE(r);
  EXPECT_EQ(r.error().line(), "n: is odd. Give an even one.");
  EXPECT_EQ(r.value_or(7), 7);
}

TEST(Result, CarriesWhatCannotBeCopied) {
  Result<std::unique_ptr<int>> r = std::make_unique<int>(3);
  EXPECT_EQ(**std::move(r), 3);
}

TEST(Error, IsOneLineWithFileAndPlace) {
  const Error e{ErrorKind::input, "etude.musicxml", "412", "bar 17 is\ntoo long", "Correct it."};
  EXPECT_EQ(e.line(), "etude.musicxml:412: bar 17 is too long. Correct it.");
}

TEST(Error, ExitCodesFollowTheContract) {
  EXPECT_EQ(exit_code(ErrorKind::input), 1);
  EXPECT_EQ(exit_code(ErrorKind::usage), 2);
  EXPECT_EQ(exit_code(ErrorKind::machine), 3);
}

}  // namespace
}  // namespace endpin
