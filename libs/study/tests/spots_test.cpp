#include <algorithm>
#include <optional>
#include <string>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "endpin/notation/read.h"
#include "endpin/score/unfold.h"
#include "endpin/study/study.h"

namespace endpin {
namespace {

using testing::ElementsAre;

struct Place {
  int string;
  int finger;
};

// A violin's study of `body`; `places` are strings and fingers for its first notes.
Study study_of(const std::string& body, const std::vector<Place>& places = {}) {
  const auto score = read_score("X:1\nT:spots\n" + body + "\n");
  Timeline line = *timeline(*score, 0, "violin");
  for (std::size_t i = 0; i < places.size(); ++i) {
    line.notes[i].string = places[i].string;
    line.notes[i].finger = places[i].finger;
  }
  return study(*score, 0, line, instrument(InstrumentKind::violin));
}

std::vector<std::string> bars_of(const Study& s, std::string_view kind) {
  std::vector<std::string> bars;
  for (const Spot& spot : s.spots) {
    if (spot.kind == kind) bars.push_back(spot.bar);
  }
  std::sort(bars.begin(), bars.end());
  return bars;
}

std::optional<Spot> spot(const Study& s, std::string_view kind) {
  for (const Spot& spot : s.spots) {
    if (spot.kind == kind) return spot;
  }
  return std::nullopt;
}

// A slur of eight quarters at a quarter of 60 lasts eight seconds, at 120 four.
TEST(Spots, SayHowLongABowLastsAtTheTargetTempo) {
  const std::string slur = "M:4/4\nL:1/4\nK:D\n(DEFG|ABcd)|d4|";
  const auto slow = spot(study_of("Q:1/4=60\n" + slur), "long-bow");
  ASSERT_TRUE(slow);
  EXPECT_EQ(slow->reason.args.at("seconds"), "8");
  const auto quick = spot(study_of("Q:1/4=120\n" + slur), "long-bow");
  ASSERT_TRUE(quick);
  EXPECT_EQ(quick->reason.args.at("seconds"), "4");
  EXPECT_GT(slow->weight, quick->weight);
}

TEST(Spots, FindADottedASyncopatedAndATripletBar) {
  const Study s = study_of("M:4/4\nL:1/8\nK:D\nD2E2F2G2|A3B c4|D E2 F2 G2 A|(3ABc d2 d4|");
  EXPECT_THAT(bars_of(s, "dotted"), ElementsAre("2"));
  EXPECT_THAT(bars_of(s, "syncopation"), ElementsAre("3"));
  EXPECT_THAT(bars_of(s, "triplet"), ElementsAre("4"));
}

TEST(Spots, FindLeapsOfAnOctaveAndMore) {
  const Study s = study_of("M:4/4\nL:1/4\nK:D\nD E F G|D d2 A|D4|");
  EXPECT_THAT(bars_of(s, "leap"), ElementsAre("2"));
}

// B4 to F5 is a diminished fifth: the first finger has to come back to be low on the E string. The
// pure fifth B4 to F♯5 lies under a finger that stays.
TEST(Spots, FindAFingerThatHopsAcrossStrings) {
  const std::vector<Place> first_finger{{2, 1}, {1, 1}};
  const auto hop =
      spot(study_of("M:4/4\nL:1/8\nQ:1/4=100\nK:C\nB f c4 c2|", first_finger), "awkward-pattern");
  ASSERT_TRUE(hop);
  EXPECT_EQ(say(hop->reason, Language::en_us), "finger 1 hops from the A to the E string");
  EXPECT_FALSE(
      spot(study_of("M:4/4\nL:1/8\nQ:1/4=100\nK:G\nB f c4 c2|", first_finger), "awkward-pattern"));
}

TEST(Spots, FindStringsThatAreJumpedOver) {
  const auto over = spot(study_of("M:2/4\nL:1/4\nK:D\nD e|", {{3, 0}, {1, 0}}), "crossing-over");
  ASSERT_TRUE(over);
  EXPECT_EQ(say(over->reason, Language::en_us), "the bow jumps from the D to the E string");
  EXPECT_EQ(over->measure, 1);
}

TEST(Spots, FindABarThatIsMuchFuller) {
  const Study s = study_of("M:2/4\nL:1/8\nK:D\nD2E2|F2G2|A/B/c/d/ A/G/F/E/|D4|");
  EXPECT_THAT(bars_of(s, "dense"), ElementsAre("3"));
}

TEST(Spots, FindWhereTheStrokeChanges) {
  const Study s = study_of("M:4/4\nL:1/4\nK:D\nD E F G|.A .B c d|.d .c .B .A|D4|");
  EXPECT_THAT(bars_of(s, "articulation"), ElementsAre("2"));
  EXPECT_EQ(spot(s, "articulation")->reason.args.at("to"), "articulation.none");
}

// Each weight is the kind's, out of spot_weights.def, times the measure; the heaviest come first.
TEST(Spots, AreWeighedByTheTable) {
  const Study s = study_of("M:4/4\nL:1/8\nK:D\nD2E2F2G2|A3B c4|D E2 F2 G2 A|D2 d2 D4|^E2 F2 D4|");
  ASSERT_GE(s.spots.size(), 4u);
  for (std::size_t i = 1; i < s.spots.size(); ++i) {
    EXPECT_GE(s.spots[i - 1].weight, s.spots[i].weight);
  }
  for (const Spot& found : s.spots) {
    EXPECT_FALSE(found.bar.empty());
    EXPECT_FALSE(found.notes.empty()) << found.kind;
    EXPECT_FALSE(found.reason.empty()) << found.kind;
  }
  EXPECT_DOUBLE_EQ(spot(s, "syncopation")->weight, 1.3);
  EXPECT_DOUBLE_EQ(spot(s, "accidental")->weight, 1.2);
}

}  // namespace
}  // namespace endpin
