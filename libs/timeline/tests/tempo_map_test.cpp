#include "endpin/timeline/tempo_map.h"

#include <gtest/gtest.h>

namespace endpin {
namespace {

using namespace literals;

TEST(TempoMap, TurnsBeatsIntoSecondsAcrossChanges) {
  const TempoMap map({{Beats(0), 60_bpm}, {Beats(4), 120_bpm}});
  EXPECT_DOUBLE_EQ(map.seconds_at(Beats(2)).value(), 2.0);
  EXPECT_DOUBLE_EQ(map.seconds_at(Beats(4)).value(), 4.0);
  EXPECT_DOUBLE_EQ(map.seconds_at(Beats(6)).value(), 5.0);
  EXPECT_EQ(map.tempo_at(Beats(7, 2)), 60_bpm);
  EXPECT_EQ(map.tempo_at(Beats(4)), 120_bpm);
}

TEST(TempoMap, TheFirstTempoHoldsFromTheBeginning) {
  const TempoMap map({{Beats(2), 60_bpm}});
  EXPECT_DOUBLE_EQ(map.seconds_at(Beats(1)).value(), 1.0);
  EXPECT_DOUBLE_EQ(map.seconds_at(Beats(3)).value(), 3.0);
}

TEST(TempoMap, ScalesEveryTempo) {
  const TempoMap map = TempoMap({{Beats(0), 60_bpm}, {Beats(4), 120_bpm}}).scaled(0.5);
  EXPECT_DOUBLE_EQ(map.seconds_at(Beats(6)).value(), 10.0);
}

}  // namespace
}  // namespace endpin
