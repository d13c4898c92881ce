#include <gtest/gtest.h>

#include "melody.h"

namespace endpin {
namespace {

const Instrument& violin = instrument(InstrumentKind::violin);
const FingeringCosts costs = default_fingering_costs(InstrumentKind::violin);
const Reach& everywhere = reach(violin, "thumb");

const std::vector<std::string> tune{"A4", "B4", "C#5", "D5", "E5",  "F#5", "G5", "A5",
                                    "G5", "E5", "C#5", "A4", "F#5", "D5",  "A4", "F#4",
                                    "A5", "B5", "C#6", "D6", "C#6", "B5",  "A5", "E5"};

struct Found {
  std::vector<FingeringEvent> events;
  Fingering best;
  std::vector<FingeringAlternative> alternatives;
};

Found found(std::vector<FingeringEvent> events) {
  Found result{std::move(events), {}, {}};
  result.best = finger(result.events, violin, everywhere, costs);
  result.alternatives =
      fingering_alternatives(result.events, violin, everywhere, costs, {}, result.best);
  return result;
}

Fingering with(const Found& all, const FingeringAlternative& alternative) {
  Fingering path = all.best;
  std::copy(alternative.events.begin(), alternative.events.end(),
            path.events.begin() + static_cast<std::ptrdiff_t>(alternative.from));
  return path;
}

TEST(Alternatives, CostWhatTheWholePathCostsMore) {
  const Found all = found(melody(tune, 0.3));
  ASSERT_FALSE(all.alternatives.empty());
  for (const FingeringAlternative& alternative : all.alternatives) {
    const Fingering path = with(all, alternative);
    const double whole = fingering_cost(all.events, violin, everywhere, costs, {}, path.events);
    EXPECT_NEAR(alternative.cost, whole - all.best.cost, 1e-9);
    EXPECT_GE(alternative.cost, -1e-9);
  }
}

TEST(Alternatives, GainSomethingAndDiffer) {
  const Found all = found(melody(tune, 0.3));
  for (const FingeringAlternative& alternative : all.alternatives) {
    EXPECT_TRUE(alternative.trade.gains());
    EXPECT_NE(alternative.events.front().stops, all.best.events[alternative.from].stops);
    EXPECT_TRUE(alternative.rank == 2 || alternative.rank == 3);
  }
}

TEST(Alternatives, OfOnePassageAreTheSecondAndTheThirdBest) {
  const Found all = found(melody(tune, 0.3));
  for (std::size_t i = 1; i < all.alternatives.size(); ++i) {
    const FingeringAlternative& a = all.alternatives[i - 1];
    const FingeringAlternative& b = all.alternatives[i];
    if (a.from != b.from) continue;
    EXPECT_LT(a.rank, b.rank);
    EXPECT_LE(a.cost, b.cost);
  }
}

// The open string or the fourth finger is a choice on the violin (practice).
TEST(Alternatives, OfferTheFourthFingerForTheOpenString) {
  const Found all = found(melody({"G4", "A4", "B4", "C5", "B4", "C5"}, 0.2));
  ASSERT_EQ(all.best.events[1].stops[0].finger, 0);
  const bool offered =
      std::any_of(all.alternatives.begin(), all.alternatives.end(), [](const auto& alternative) {
        return alternative.from == 1 && alternative.events[0].stops[0].finger == 4 &&
               alternative.trade.open_strings == -1 && alternative.trade.fourth_fingers == 1;
      });
  EXPECT_TRUE(offered);
}

TEST(Alternatives, KeepWhatIsSettled) {
  std::vector<FingeringEvent> events = melody(tune, 0.3);
  events[4].notes[0].fixed.finger = 0;
  const Found all = found(events);
  for (const FingeringAlternative& alternative : all.alternatives) {
    EXPECT_EQ(with(all, alternative).events[4].stops[0].finger, 0);
  }
}

}  // namespace
}  // namespace endpin
