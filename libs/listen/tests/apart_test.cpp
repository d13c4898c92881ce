#include "endpin/listen/apart.h"

#include <gtest/gtest.h>

#include "endpin/listen/findings.h"

#include "played.h"

namespace endpin::listen {
namespace {

const std::vector<int> melody{67, 69, 71, 72, 74, 71, 67, 69, 71, 67, 74, 76, 78, 79, 76, 74};
const std::vector<int> scale{55, 57, 59, 60, 62, 64, 66, 67};
// Bar 3 of the melody, growing from its beginning.
const std::vector<int> drill{71, 67, 71, 67, 71, 67, 74, 71, 67, 74, 71, 67, 74, 76, 74, 76};

double add(Recording& r, const std::vector<int>& midi, double at, double beat = 0.6) {
  for (const int m : midi) {
    r.add({at, beat - 0.03, static_cast<double>(m)});
    at += beat;
  }
  return at + 2;
}

int heard(const Hearing& h) {
  int count = 0;
  for (const NoteHearing& n : h.notes) count += n.state == NoteState::heard;
  return count;
}

TEST(Apart, AScaleADrillAndThePieceAreHeardEachByItself) {
  const std::vector<Timeline> items{Tune(melody).timeline, Tune(scale).timeline,
                                    Tune(drill).timeline};
  Recording r(32);
  const double drill_at = add(r, scale, 1);
  const double piece_at = add(r, drill, drill_at);
  add(r, melody, piece_at);
  const auto found = hear_apart(items, r.view());
  ASSERT_EQ(found.size(), 3U);
  const double starts[] = {piece_at, 1, drill_at};
  const std::size_t notes[] = {16, 8, 16};
  for (std::size_t i = 0; i < 3; ++i) {
    const Hearing& h = found[i].hearing;
    EXPECT_EQ(found[i].item, static_cast<int>(i));
    EXPECT_EQ(h.status, HearingStatus::ok);
    ASSERT_EQ(h.notes.size(), notes[i]);
    EXPECT_GE(heard(h), static_cast<int>(notes[i]) - 1) << i;
    EXPECT_TRUE(h.restarts.empty());
    ASSERT_TRUE(h.notes[0].heard);
    EXPECT_NEAR(h.notes[0].heard->onset.value(), starts[i], 0.05);
  }
}

TEST(Apart, ThePieceAloneIsHeardAsWithoutOtherItems) {
  const std::vector<Timeline> items{Tune(melody).timeline, Tune(scale).timeline,
                                    Tune(drill).timeline};
  Recording r(14);
  add(r, melody, 1);
  const auto found = hear_apart(items, r.view());
  ASSERT_EQ(found.size(), 1U);
  EXPECT_EQ(to_json(found[0].hearing), to_json(hear(std::span(items).first(1), r.view())));
}

TEST(Apart, ADrillAloneLeavesThePieceUnreached) {
  const std::vector<Timeline> items{Tune(melody).timeline, Tune(drill).timeline};
  Recording r(14);
  add(r, drill, 1);
  auto found = hear_apart(items, r.view());
  ASSERT_EQ(found.size(), 2U);
  EXPECT_EQ(heard(found[0].hearing), 0);
  add_findings(found[0].hearing, std::span(items).first(1));
  EXPECT_TRUE(found[0].hearing.findings.empty());
  EXPECT_EQ(found[1].hearing.status, HearingStatus::ok);
}

}  // namespace
}  // namespace endpin::listen
