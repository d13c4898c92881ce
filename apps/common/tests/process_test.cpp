#include "endpin/app/process.h"

#include <string>

#include <gtest/gtest.h>

namespace endpin::app {
namespace {

TEST(Process, FeedsAndCollectsMoreThanAPipeHolds) {
  const std::string much(3'000'000, 'x');
  const auto run = run_process({"cat"}, much);
  ASSERT_TRUE(run);
  EXPECT_EQ(run->exit_status, 0);
  EXPECT_EQ(run->output, much);
}

TEST(Process, TellsExitStatusSignalAndErrors) {
  const auto failed = run_process({"sh", "-c", "echo oh >&2; exit 3"}, "");
  ASSERT_TRUE(failed);
  EXPECT_EQ(failed->exit_status, 3);
  EXPECT_EQ(failed->errors, "oh\n");
  EXPECT_EQ(run_process({"sh", "-c", "kill -SEGV $$"}, "")->exit_status, 128 + 11);
}

TEST(Process, AProgramThatIsNotThereIsTheMachinesFault) {
  const auto run = run_process({"no-such-program-anywhere"}, "");
  ASSERT_FALSE(run);
  EXPECT_EQ(run.error().kind, ErrorKind::machine);
}

TEST(Process, IsKilledWithItsChildrenPastItsTime) {
  const auto run =
      run_process({"sh", "-c", "sleep 60 & sleep 60"}, "", {.wall_time = Seconds(0.2)});
  ASSERT_TRUE(run);
  EXPECT_TRUE(run->timed_out);
}

TEST(Process, StopsAFloodOfOutput) {
  const auto run = run_process({"yes"}, "", {.output_bytes = 1 << 20});
  ASSERT_TRUE(run);
  EXPECT_TRUE(run->output_too_long);
}

TEST(Process, SurvivesAChildThatReadsNothing) {
  const auto run = run_process({"true"}, std::string(1'000'000, 'x'));
  ASSERT_TRUE(run);
  EXPECT_EQ(run->exit_status, 0);
}

}  // namespace
}  // namespace endpin::app
