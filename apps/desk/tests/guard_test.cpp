#include "guard.h"

#include <gtest/gtest.h>

// Passes and sessions, with a clock of the test's own.
namespace endpin::desk {
namespace {

using std::chrono::hours;
using std::chrono::minutes;

class PassTest : public testing::Test {
 protected:
  PassTest() : guard("0.0.0.0", 8000, [this] { return now; }) {}

  /// 0: let through.
  int status(const std::string& path, const std::string& cookie = {}) {
    Call call;
    call.method = "GET";
    call.path = path;
    call.remote = "192.168.1.7";
    call.header = [&](const char* name) -> std::string {
      if (std::string_view(name) == "Host") return "192.168.1.2:8000";
      return std::string_view(name) == "Cookie" ? cookie : std::string();
    };
    const auto answer = guard.refusal(call);
    if (answer) {
      for (const auto& [name, value] : answer->headers) {
        if (name == "Set-Cookie") given = value.substr(0, value.find(';'));
      }
    }
    return answer ? answer->status : 0;
  }

  Guard::Moment now{};
  Guard guard;
  std::string given;  ///< the last cookie
};

TEST_F(PassTest, LetsInForTwelveHours) {
  const std::string pass = guard.pass_path();
  ASSERT_EQ(status(pass), 303);
  EXPECT_EQ(status("/api/book", given), 0);
  now += hours(11) + minutes(59);
  EXPECT_EQ(status("/api/book", given), 0);
  now += minutes(2);
  EXPECT_EQ(status("/api/book", given), 401);
  EXPECT_EQ(status(pass), 401);
}

TEST_F(PassTest, ThatIsWithdrawnTurnsAwayWhoeverCameInByIt) {
  const std::string pass = guard.pass_path();
  ASSERT_EQ(status(pass), 303);
  guard.withdraw();
  EXPECT_EQ(status("/api/book", given), 401);
  EXPECT_EQ(status(pass), 401);
  EXPECT_EQ(status(guard.pass_path()), 303);
}

TEST_F(PassTest, WrongTenTimesShutsTheAddressOutForTenMinutes) {
  for (int i = 0; i < 10; ++i) EXPECT_EQ(status("/pass/wrong"), 401);
  EXPECT_EQ(status(guard.pass_path()), 429);
  now += minutes(10) + std::chrono::seconds(1);
  EXPECT_EQ(status(guard.pass_path()), 303);
}

}  // namespace
}  // namespace endpin::desk
