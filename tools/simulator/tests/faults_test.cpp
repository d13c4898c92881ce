#include "endpin/simulator/faults.h"

#include <cmath>
#include <set>

#include <gtest/gtest.h>

#include "endpin/simulator/performance.h"
#include "endpin/simulator/tunes.h"

namespace endpin::simulator {
namespace {

std::optional<Plan> some_plan(Fault fault, std::uint64_t& seed, Timeline& tune) {
  for (seed = 1; seed < 40; ++seed) {
    TuneOptions options;
    options.seed = seed;
    options.repeat = fault == Fault::repeat_left_out;
    tune = random_tune(options);
    if (auto plan = with_fault(tune, plan_of(tune), fault, Random(seed))) return plan;
  }
  return std::nullopt;
}

class EveryFault : public testing::TestWithParam<int> {};

TEST_P(EveryFault, FindsAPlaceAndLeavesAPlanThatCanBePlayed) {
  const auto fault = static_cast<Fault>(GetParam());
  std::uint64_t seed = 0;
  Timeline tune;
  const auto plan = some_plan(fault, seed, tune);
  ASSERT_TRUE(plan) << name(fault);
  for (std::size_t i = 1; i < plan->intents.size(); ++i) {
    ASSERT_GE(plan->intents[i].at, plan->intents[i - 1].at) << name(fault) << " at " << i;
  }
  EXPECT_EQ(plan->findings.empty(), fault >= Fault::whole_take_flat);
  const auto played = perform(tune, *plan, good_student(), seed);
  EXPECT_EQ(played.truth.size(), tune.notes.size());
  EXPECT_GT(played.length.value(), 5);
}
INSTANTIATE_TEST_SUITE_P(Faults, EveryFault, testing::Range(0, fault_kinds));

TEST(Faults, HaveNamesOfTheirOwn) {
  std::set<std::string_view> names;
  for (int i = 0; i < fault_kinds; ++i) names.insert(name(static_cast<Fault>(i)));
  EXPECT_EQ(names.size(), static_cast<std::size_t>(fault_kinds));
  EXPECT_GE(fault_kinds, 27);
}

TEST(Faults, AMissedNoteIsMissingInTheTruth) {
  std::uint64_t seed = 0;
  Timeline tune;
  const auto plan = some_plan(Fault::missed_note, seed, tune);
  const auto played = perform(tune, *plan, good_student(), seed);
  const int missing = plan->findings[0].notes[0];
  EXPECT_EQ(played.truth[static_cast<std::size_t>(missing)].state, NoteState::missed);
  EXPECT_EQ(played.notes.size() + 1, tune.notes.size());
}

// Past every verdict's threshold (35 cents) and nearer to its own pitch than to the next semitone.
TEST(Faults, ANoteThatIsOffIsOffWhoeverPlays) {
  for (const auto fault : {Fault::flat_note, Fault::sharp_note, Fault::one_finger_low}) {
    std::uint64_t seed = 0;
    Timeline tune;
    const auto plan = some_plan(fault, seed, tune);
    ASSERT_TRUE(plan);
    for (std::uint64_t player = 0; player < 20; ++player) {
      const auto played = perform(tune, *plan, beginner(), player);
      for (const int i : plan->findings[0].notes) {
        const double off = std::abs(played.notes[static_cast<std::size_t>(i)].cents);
        const bool single = fault != Fault::one_finger_low;
        EXPECT_GE(off, single ? 45 : 15) << name(fault);
        EXPECT_LE(off, single ? 55 : 50) << name(fault);
      }
    }
  }
}

TEST(Faults, ARestartPlaysTheNotesGoneBackToTwiceAndCountsTheSecondTime) {
  std::uint64_t seed = 0;
  Timeline tune;
  const auto plan = some_plan(Fault::restart, seed, tune);
  const auto played = perform(tune, *plan, good_student(), seed);
  ASSERT_EQ(played.restarts.size(), 1u);
  const auto& restart = played.restarts[0];
  EXPECT_LE(restart.to_index, restart.from_index);
  const auto& again = played.truth[static_cast<std::size_t>(restart.to_index)];
  EXPECT_DOUBLE_EQ(played.notes[*again.played].onset.value(), restart.time.value());
  for (const auto& truth : played.truth) EXPECT_EQ(truth.state, NoteState::heard);
}

TEST(Faults, ATwinBarKeepsItsPitchesAndChangesItsOnsets) {
  std::uint64_t seed = 0;
  Timeline tune;
  const auto plan = some_plan(Fault::twin_bar, seed, tune);
  const auto straight = plan_of(tune);
  int moved = 0;
  for (std::size_t i = 0; i < straight.intents.size(); ++i) {
    EXPECT_EQ(plan->intents[i].midi, straight.intents[i].midi);
    moved += plan->intents[i].at != straight.intents[i].at ? 1 : 0;
  }
  EXPECT_GT(moved, 0);
}

}  // namespace
}  // namespace endpin::simulator
