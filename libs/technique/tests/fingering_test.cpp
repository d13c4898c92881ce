#include "endpin/technique/fingering.h"

#include <algorithm>
#include <functional>
#include <limits>
#include <random>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "melody.h"

namespace endpin {
namespace {

const Instrument& violin = instrument(InstrumentKind::violin);
const Instrument& cello = instrument(InstrumentKind::cello);
const Instrument& bass = instrument(InstrumentKind::bass);

Fingering best(const std::vector<FingeringEvent>& events, const Instrument& which,
               const char* step = "thumb", std::vector<HouseRule> rules = {}) {
  return finger(events, which, reach(which, step), default_fingering_costs(which.kind), rules);
}

std::string fingers(const Fingering& fingering) {
  std::string text;
  for (const FingeredEvent& event : fingering.events) {
    text += event.stops.empty() ? "-" : std::to_string(event.stops.back().finger);
  }
  return text;
}

// First position of the cello (practice): D major from the open D string.
TEST(Fingering, PlaysTheCellosFirstScale) {
  const auto scale = melody({"D3", "E3", "F#3", "G3", "A3", "B3", "C#4", "D4"});
  EXPECT_EQ(fingers(best(scale, cello, "first-position")), "01340134");
}

// First position of the violin (practice): A major from the open A string.
TEST(Fingering, PlaysTheViolinsFirstScale) {
  const auto scale = melody({"A4", "B4", "C#5", "D5", "E5", "F#5", "G#5", "A5"}, 0.25);
  EXPECT_EQ(fingers(best(scale, violin, "first-position")), "01230123");
}

// Double bass, 1-2-4 (memory): G major on the E, A and D strings.
TEST(Fingering, PlaysTheBasssFirstScale) {
  const auto scale = melody({"G1", "A1", "B1", "C2", "D2", "E2", "F#2", "G2"});
  EXPECT_EQ(fingers(best(scale, bass, "first-position")), "20120140");
}

// A broken chord over open strings in first position (practice): the hand stays though every note
// between its fingers is an open string.
TEST(Fingering, KeepsTheCellosHandOverOpenStrings) {
  const auto figure =
      melody({"G2", "D3", "B3", "A3", "B3", "D3", "B3", "D3", "G2", "E3", "C4", "B3"});
  const Fingering result = best(figure, cello);
  EXPECT_EQ(fingers(result), "001010100121");
  for (const FingeredEvent& event : result.events) EXPECT_EQ(event.hand, 2);
}

TEST(Fingering, KeepsWhatIsSettled) {
  auto scale = melody({"A4", "B4", "C#5", "D5"}, 0.25);
  scale[2].notes[0].fixed.finger = 3;
  const Fingering result = best(scale, violin);
  EXPECT_EQ(result.events[2].stops[0].finger, 3);
  EXPECT_FALSE(result.events[2].fixed_ignored);
}

TEST(Fingering, SaysWhatCannotBePlayed) {
  const Fingering result = best(melody({"D3", "G1", "D3"}), cello);
  EXPECT_FALSE(result.events[0].stops.empty());
  EXPECT_TRUE(result.events[1].stops.empty());
  EXPECT_FALSE(result.events[2].stops.empty());
}

TEST(Fingering, PlaysChordsInOneHand) {
  auto chord = melody({"G3"});
  chord[0].notes = {{*SpelledPitch::parse("G3"), {}, false},
                    {*SpelledPitch::parse("B4"), {}, false},
                    {*SpelledPitch::parse("D4"), {}, false}};
  const Fingering result = best(chord, violin);
  ASSERT_EQ(result.events[0].stops.size(), 3u);
  EXPECT_EQ(result.events[0].stops[0].string, 4);
  EXPECT_EQ(result.events[0].stops[1].string, 2);
  EXPECT_EQ(result.events[0].stops[2].string, 3);
}

// Two notes that lie on one string only cannot sound together.
TEST(Fingering, SaysThatAChordCannotBePlayed) {
  auto chord = melody({"G3", "D4"});
  chord[0].notes = {{*SpelledPitch::parse("G3"), {}, false},
                    {*SpelledPitch::parse("A3"), {}, false}};
  const Fingering result = best(chord, violin);
  EXPECT_TRUE(result.events[0].stops.empty());
  EXPECT_FALSE(result.events[1].stops.empty());
}

TEST(Fingering, FollowsHouseRules) {
  const auto scale = melody({"D4", "E4", "F#4", "G4", "A4", "B4"}, 0.15);
  const Fingering plain = best(scale, violin, "first-position");
  EXPECT_EQ(plain.events[4].stops[0].finger, 0);
  const Fingering ruled =
      best(scale, violin, "first-position", {*parse_house_rule("avoid open-strings ascending")});
  EXPECT_EQ(ruled.events[4].stops[0].finger, 4);
}

// "Open strings on the way down", "no extensions yet", a weak fourth finger: lines that teachers
// have, each against what we propose without it.
TEST(Fingering, FollowsThreeTeachers) {
  const auto down = melody({"A5", "G#5", "F#5", "E5", "D5", "C#5", "B4", "A4", "G4"}, 0.15);
  EXPECT_EQ(fingers(best(down, violin)), "321432143");
  EXPECT_EQ(fingers(best(down, violin, "thumb", {*parse_house_rule("prefer open-strings")})),
            "321032103");
  const auto reaching = melody({"C5", "E5", "G5", "C6", "G5", "E5", "C5"}, 0.15);
  const auto stretches = [](const Fingering& fingering) {
    return std::any_of(fingering.events.begin(), fingering.events.end(), [](const auto& event) {
      return event.stops[0].extension != Extension::none;
    });
  };
  EXPECT_TRUE(stretches(best(reaching, violin)));
  EXPECT_FALSE(stretches(best(reaching, violin, "thumb", {*parse_house_rule("never extensions")})));
  const auto round = melody({"C#5", "D5", "E5", "D5", "C#5", "B4"}, 0.2);
  EXPECT_EQ(fingers(best(round, violin)), "234321");
  EXPECT_EQ(fingers(best(round, violin, "thumb", {*parse_house_rule("avoid finger 4")})), "230321");
}

TEST(Fingering, FingersAPassageThatReturnsAlike) {
  std::vector<std::string> pitches;
  const std::vector<std::string> figure{"A4", "C#5", "E5", "G5", "F#5", "D5"};
  for (const char* between : {"D6", "A4", "B5", "G4"}) {
    pitches.insert(pitches.end(), figure.begin(), figure.end());
    pitches.emplace_back(between);
  }
  const auto events = melody(pitches, 0.2);
  const Fingering result = finger_alike(events, violin, reach(violin, "thumb"),
                                        default_fingering_costs(InstrumentKind::violin));
  int differing = 0;
  for (std::size_t time = 1; time < 4; ++time) {
    for (std::size_t i = 1; i < figure.size(); ++i) {
      differing += result.events[7 * time + i].stops != result.events[i].stops;
    }
  }
  EXPECT_LE(differing, 2);
}

// What players of the violin do (common practice): a passage that spans a tenth from D5 up stays in
// one hand, in third position, and does not go back and forth.
TEST(Fingering, StaysInThirdPositionForAHighPassage) {
  const auto events =
      melody({"D5", "F5", "A5", "C6", "D6", "C6", "A5", "F5", "D5", "F5", "A5", "D6"}, 0.2);
  const Fingering result = best(events, violin);
  for (const FingeredEvent& event : result.events) EXPECT_EQ(event.hand, 3);
}

TEST(HouseRules, AreReadAndRefused) {
  EXPECT_TRUE(parse_house_rule("never extensions"));
  EXPECT_TRUE(parse_house_rule("cost shift 9.5"));
  EXPECT_FALSE(parse_house_rule("avoid finger"));
  EXPECT_FALSE(parse_house_rule("avoid elbows"));
  EXPECT_FALSE(parse_house_rule("cost elbows 1"));
  const auto refused = parse_house_rules("# ours\nprefer open-strings\nnonsense\n");
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().place, "3");
}

// The oracle: every path of a small case, summed by `fingering_cost`.
double cheapest_of_all(const std::vector<FingeringEvent>& events, const Instrument& which,
                       const Reach& within, const FingeringCosts& costs) {
  const auto choices = fingering_choices(events, which, within);
  double cheapest = std::numeric_limits<double>::infinity();
  std::vector<FingeredEvent> path;
  const std::function<void()> extend = [&] {
    if (path.size() == choices.size()) {
      cheapest = std::min(cheapest, fingering_cost(events, which, within, costs, {}, path));
      return;
    }
    for (const FingeredEvent& choice : choices[path.size()]) {
      path.push_back(choice);
      extend();
      path.pop_back();
    }
  };
  extend();
  return cheapest;
}

TEST(Fingering, IsTheCheapestOfAll) {
  std::mt19937 random(7);
  for (const InstrumentKind kind : all_instruments) {
    const Instrument& which = instrument(kind);
    const Reach& within = reach(which, "lower-positions");
    const FingeringCosts costs = default_fingering_costs(kind);
    for (int round = 0; round < 12; ++round) {
      std::vector<std::string> pitches;
      for (int i = 0; i < 4; ++i) {
        const int midi = which.lowest_midi() + static_cast<int>(random() % 22);
        pitches.push_back(spell(midi, static_cast<int>(random() % 7) - 3).text());
      }
      const auto events = melody(pitches, 0.1 + 0.1 * static_cast<double>(random() % 6));
      const Fingering found = finger(events, which, within, costs);
      EXPECT_NEAR(found.cost, cheapest_of_all(events, which, within, costs), 1e-9);
      EXPECT_NEAR(found.cost, fingering_cost(events, which, within, costs, {}, found.events), 1e-9);
    }
  }
}

}  // namespace
}  // namespace endpin
