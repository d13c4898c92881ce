#include "endpin/simulator/tunes.h"

#include <set>

#include <gtest/gtest.h>

namespace endpin::simulator {
namespace {

// Common frames of the hand: on the cello in G major F♯3 is the third finger on the D string;
// violin F♯4 is the (high) second finger on D; the bass's C♯3 is out of first position's reach.
TEST(Tunes, FirstPositionFollowsTheHand) {
  const auto cello = first_position("cello", 54);
  ASSERT_TRUE(cello);
  EXPECT_EQ(cello->string, 2);
  EXPECT_EQ(cello->finger, 3);
  const auto violin = first_position("violin", 66);
  ASSERT_TRUE(violin);
  EXPECT_EQ(violin->string, 3);
  EXPECT_EQ(violin->finger, 2);
  EXPECT_FALSE(first_position("bass", 49));
}

TEST(Tunes, FillTheirBarsAndStayInTheKey) {
  for (const int fifths : {-2, 0, 1, 2}) {
    TuneOptions options;
    options.fifths = fifths;
    options.chromatic = false;
    options.seed = 5;
    const auto tune = random_tune(options);
    const std::set<int> major{0, 2, 4, 5, 7, 9, 11};
    for (const auto& note : tune.notes) {
      EXPECT_TRUE(major.contains(((note.midi - 7 * fifths) % 12 + 12) % 12)) << note.spelled.text();
    }
    EXPECT_EQ(tune.notes.back().onset + tune.notes.back().duration, tune.end());
    EXPECT_EQ(tune.end(), Beats(4 * options.bars));
  }
}

TEST(Tunes, SurviveTheTimelinesOwnChecks) {
  TuneOptions options;
  options.repeat = true;
  const auto tune = random_tune(options);
  const auto read = timeline_from_json(to_json(tune));
  ASSERT_TRUE(read.has_value()) << read.error().line();
  EXPECT_EQ(read->notes.size(), tune.notes.size());
  EXPECT_EQ(tune.notes[tune.notes.size() / 2].pass, 2);
}

TEST(Tunes, SameSeedSameTune) {
  TuneOptions options;
  EXPECT_EQ(random_tune(options), random_tune(options));
  auto other = options;
  other.seed = 2;
  EXPECT_NE(random_tune(options), random_tune(other));
}

}  // namespace
}  // namespace endpin::simulator
