#include <algorithm>

#include <gtest/gtest.h>

#include "played.h"

namespace endpin::listen {
namespace {

const std::vector<int> melody{67, 69, 71, 72, 74, 71, 67, 69, 71, 67, 74, 76, 78, 79, 76, 74};

std::vector<SegmentKind> kinds(const Hearing& h) {
  std::vector<SegmentKind> all;
  for (const Segment& s : h.segments) all.push_back(s.kind);
  return all;
}

void add_click(Recording& r, double at_s) {
  auto& samples = r.samples();
  const auto from = static_cast<std::size_t>(at_s * Recording::rate);
  for (std::size_t i = 0; i < 700; ++i) {
    const double t = static_cast<double>(i) / Recording::rate;
    samples[from + i] += static_cast<float>(0.4 * std::exp(-t / 0.006) * std::sin(9400 * t));
  }
}

TEST(Segments, FindTheClicksBeforeTheFirstNote) {
  const Tune tune(melody);
  const double beat = 2.0 / 3;
  Recording r = play(tune, all_of(tune), beat, 5);
  for (int i = 4; i >= 1; --i) add_click(r, 5 - i * beat);
  const Hearing h = hear_one(tune, r);
  ASSERT_EQ(kinds(h), (std::vector{SegmentKind::silence, SegmentKind::count_in,
                                   SegmentKind::playing, SegmentKind::silence}));
  EXPECT_NEAR(h.segments[1].from.value(), 5 - 4 * beat, 0.05);
}

TEST(Segments, TellTuningByHeldOpenStrings) {
  const Tune tune(melody);
  Recording r = play(tune, all_of(tune), 2.0 / 3, 9);
  r.add({1, 2, 69}).add({3, 2, 62}).add({5, 2, 55});
  const Hearing h = hear_one(tune, r);
  ASSERT_FALSE(h.segments.empty());
  EXPECT_EQ(h.segments[0].kind, SegmentKind::tuning);
}

TEST(Segments, HaveNoCountInWhereThereIsSilence) {
  const Tune tune(melody);
  const Hearing h = hear_one(tune, play(tune, all_of(tune), 2.0 / 3, 4));
  EXPECT_EQ(kinds(h),
            (std::vector{SegmentKind::silence, SegmentKind::playing, SegmentKind::silence}));
}

Tune with_open_strings() {
  Tune tune({55, 57, 62, 64, 55, 59, 62, 66, 55, 62, 55, 57});
  for (TimelineNote& n : tune.timeline.notes) {
    if (n.midi == 62) n.string = 3, n.finger = 0, n.open = true;
  }
  return tune;
}

// A fine tuner's reach: the G string 18 cents low, the D string in tune.
TEST(StringTunings, AreThoseOfTheOpenSounds) {
  const Tune tune = with_open_strings();
  Recording r(10);
  for (const TimelineNote& n : tune.timeline.notes) {
    r.add({0.5 + n.index * 2.0 / 3, 0.6, n.midi - (n.midi == 55 ? 0.18 : 0)});
  }
  const Hearing h =
      hear_one(tune, r, {.tempo_hint = {}, .a4 = Hertz(440), .bars = {}, .backing = {}});
  ASSERT_EQ(h.strings.size(), 2U);
  EXPECT_EQ(h.strings[0].string, "D");
  EXPECT_NEAR(h.strings[0].intonation.value(), 0, 3);
  EXPECT_EQ(h.strings[1].string, "G");
  EXPECT_NEAR(h.strings[1].intonation.value(), -18, 3);
  EXPECT_EQ(h.strings[1].notes, 4);
  EXPECT_LT(h.strings[1].uncertainty.value(), 5);
}

TEST(StringTunings, AreNotKnownWithoutOpenSounds) {
  const Tune tune(melody);
  EXPECT_TRUE(hear_one(tune, play(tune, all_of(tune))).strings.empty());
}

}  // namespace
}  // namespace endpin::listen
