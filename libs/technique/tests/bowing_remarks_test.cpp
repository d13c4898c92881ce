#include <algorithm>

#include <gtest/gtest.h>

#include "rhythm_piece.h"

namespace endpin {
namespace {

const MarkingRemark* find(const Markings& markings, std::string_view kind) {
  const auto found = std::find_if(markings.remarks.begin(), markings.remarks.end(),
                                  [&](const MarkingRemark& r) { return r.kind == kind; });
  return found == markings.remarks.end() ? nullptr : &*found;
}

std::string proposed(const MarkingRemark& remark) {
  std::string keys;
  for (const RemarkOption& option : remark.options) {
    if (option.proposed) keys += option.says.key;
  }
  return keys;
}

double cost_of(const MarkingRemark& remark, std::string_view key) {
  for (const RemarkOption& option : remark.options) {
    if (option.says.key == key) return option.cost.value();
  }
  ADD_FAILURE() << "no option " << key;
  return 0;
}

std::string directions(const Markings& markings) {
  std::string text;
  for (const Stroke& stroke : markings.strokes) text += stroke.bow == Bow::down ? 'd' : 'u';
  return text;
}

std::string downbeats(const Markings& markings) {
  std::string text;
  for (const Downbeat& downbeat : markings.downbeats) {
    text += downbeat.continues ? '-' : downbeat.bow == Bow::down ? 'd' : 'u';
  }
  return text;
}

// An even number of strokes keeps the down-bow on the next downbeat (practice, calculated): nothing
// to be said.
TEST(BowingRemarks, ABarThatComesOutIsNotMentioned) {
  const Markings markings = RhythmPiece({"1 1 1 1", "2 2", "1 1 2", "4"}).mark();
  EXPECT_EQ(downbeats(markings), "dddu");
  const Markings even = RhythmPiece({"1 1 1 1", "2 2", "1 1 1 1", "2 2"}).mark();
  EXPECT_TRUE(even.remarks.empty());
}

// An odd number of strokes flips the next downbeat, and then the player retakes, hooks or accepts
// (practice, calculated).
TEST(BowingRemarks, AnOddBarIsNamedWithItsWaysOutAndOneProposal) {
  const Markings markings = RhythmPiece({"1 1 2", "1 1 1 1", "1 1 2", "1 1 1 1"}).mark();
  const MarkingRemark* remark = find(markings, "comes-out-up");
  ASSERT_NE(remark, nullptr);
  EXPECT_EQ(remark->bar, "2");
  EXPECT_EQ(remark->notes.front(), "n3");
  EXPECT_EQ(proposed(*remark), "bowing.accept");
  for (const char* key : {"bowing.accept", "bowing.retake", "bowing.hook-two", "bowing.slur-two"}) {
    EXPECT_GE(cost_of(*remark, key), 0);
  }
  EXPECT_LT(cost_of(*remark, "bowing.accept"), cost_of(*remark, "bowing.retake"));
  EXPECT_TRUE(std::is_sorted(remark->options.begin(), remark->options.end(),
                             [](const auto& a, const auto& b) { return a.cost < b.cost; }));
}

// A rest leaves time for a retake; without rests there is no free time for one (practice).
TEST(BowingRemarks, ARestMakesTheRetakeTheProposal) {
  const Markings markings = RhythmPiece({"1 1 1 r1", "1 1 1 1", "1 1 1 r1", "1 1 1 1"}).mark();
  EXPECT_EQ(downbeats(markings), "dddd");
  const MarkingRemark* remark = find(markings, "comes-out-up");
  ASSERT_NE(remark, nullptr);
  EXPECT_EQ(proposed(*remark), "bowing.retake");
  EXPECT_EQ(remark->says.args.at("bars"), "2,4");
  const std::string says = say(remark->says, Language::en_gb);
  EXPECT_NE(says.find("bars 2 and 4"), std::string::npos) << says;
  EXPECT_EQ(says.find('['), std::string::npos) << says;
}

// Phrase ends may still lift (practice): a breath mark is time enough where nothing else is.
TEST(BowingRemarks, ABreathLetsThePhraseBeginAnew) {
  const std::vector<std::string> with{"1 1 2v", "1 1 2v", "1 1 2v", "1 1 2v", "4"};
  const std::vector<std::string> without{"1 1 2", "1 1 2", "1 1 2", "1 1 2", "4"};
  MarkingOptions options;
  options.bowing_costs.downbeat_up = 3;
  EXPECT_EQ(downbeats(RhythmPiece(with).mark(options)), "ddddd");
  EXPECT_EQ(downbeats(RhythmPiece(without).mark(options)), "dudud");
}

// A printed mark is then either redundant or a change (practice).
TEST(BowingRemarks, APrintedMarkIsRedundantOrAChange) {
  const Markings redundant = RhythmPiece({"1d 1 1 1", "1d 1 1d 1"}).mark();
  const MarkingRemark* same = find(redundant, "redundant-mark");
  ASSERT_NE(same, nullptr);
  EXPECT_EQ(same->notes, (std::vector<std::string>{"n4", "n6"}));
  EXPECT_EQ(find(redundant, "change"), nullptr);

  const Markings change = RhythmPiece({"1d 1 1 1", "2d 2d"}).mark();
  const MarkingRemark* meant = find(change, "change");
  ASSERT_NE(meant, nullptr);
  EXPECT_EQ(meant->notes, (std::vector<std::string>{"n5"}));
  EXPECT_EQ(find(change, "contradiction"), nullptr);
}

TEST(BowingRemarks, PrintedMarksThatNoStrokesJoinContradictEachOther) {
  const Markings markings = RhythmPiece({"1d 1 1 1", "1u 1 1 1"}).mark();
  const MarkingRemark* clash = find(markings, "contradiction");
  ASSERT_NE(clash, nullptr);
  EXPECT_EQ(clash->notes, (std::vector<std::string>{"n4"}));
  EXPECT_FALSE(clash->options.empty());
  const Markings inside = RhythmPiece({"( 1d 1u ) 1 1"}).mark();
  ASSERT_NE(find(inside, "contradiction"), nullptr);
  EXPECT_EQ(find(inside, "contradiction")->notes, (std::vector<std::string>{"n1"}));
}

// On a 3:1 rhythm in separate strokes the short stroke must travel three times as fast
// (calculated); hooking it, a retake and a lighter stroke are the ways out (practice).
TEST(BowingRemarks, AShortNoteAfterALongOneFliesBack) {
  MarkingOptions separate;
  separate.bowing_costs.hook = 9;
  const Markings markings =
      RhythmPiece(std::vector<std::string>(8, "3/2 1/2 3/2 1/2")).mark(separate);
  const MarkingRemark* remark = find(markings, "fast-bow");
  ASSERT_NE(remark, nullptr);
  EXPECT_NEAR(std::stod(remark->says.args.at("ratio")), 3, 0.5);
  EXPECT_EQ(remark->options.size(), 3u);
  EXPECT_EQ(find(RhythmPiece({"1 1 1 1", "2 2"}).mark(), "fast-bow"), nullptr);
}

// Slurred notes are one stroke (practice); a slur over the bar line carries the stroke with it.
TEST(BowingRemarks, ASlurOverTheBarLineIsOneStroke) {
  const Markings markings = RhythmPiece({"1 1 1 ( 1", "1 ) 1 2", "1 1 1 1"}).mark();
  EXPECT_EQ(downbeats(markings), "d-d");
  EXPECT_EQ(directions(markings), "dududududu");
  EXPECT_EQ(markings.strokes[3].notes, (std::vector<int>{3, 4}));
}

// A pickup goes up (practice), in every pass, and before a section in the middle too.
TEST(BowingRemarks, APickupGoesUpInEveryPass) {
  const Markings markings = RhythmPiece({"|: 1", "1 1 1 1", "1 1 1 :|"}).mark();
  EXPECT_EQ(directions(markings), "udududududududud");
  EXPECT_EQ(downbeats(markings), "dddd");
  const Markings middle = RhythmPiece({"1 1 1 1", "2 1 :|", "|: 1", "1 1 1 1", "2 1 :|"}).mark();
  EXPECT_EQ(middle.find("n6")->bow, Bow::up);
  EXPECT_EQ(middle.find("n7")->bow, Bow::down);
}

TEST(BowingRemarks, NoStrokeSpansARestThatNoSlurSpans) {
  for (const char* bar : {"1 r1 1 1", "3/2 r1/2 1 1", "1/2 r1/2 1/2 r1/2 2"}) {
    const RhythmPiece piece({bar, bar, bar});
    for (const Stroke& stroke : piece.mark().strokes) {
      for (std::size_t i = 1; i < stroke.notes.size(); ++i) {
        const auto& a = piece.timeline.notes[static_cast<std::size_t>(stroke.notes[i - 1])];
        const auto& b = piece.timeline.notes[static_cast<std::size_t>(stroke.notes[i])];
        EXPECT_EQ(a.onset + a.duration, b.onset);
      }
    }
  }
}

TEST(BowingRemarks, ATeachersCostOfBowingIsHeeded) {
  const RhythmPiece piece({"1 1 2", "1 1 1 1", "1 1 1 1", "1 1 1 1"});
  MarkingOptions options;
  options.rules = {*parse_house_rule("cost retake_no_rest 0.1")};
  EXPECT_EQ(downbeats(piece.mark()), "duuu");
  EXPECT_EQ(downbeats(piece.mark(options)), "dddd");
}

}  // namespace
}  // namespace endpin
