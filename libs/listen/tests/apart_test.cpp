#include "endpin/listen/apart.h"

#include <gtest/gtest.h>

#include "excerpts.h"
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
  Hearing alone = hear(std::span(items).first(1), r.view());
  add_findings(alone, std::span(items).first(1));
  EXPECT_EQ(to_json(found[0].hearing), to_json(alone));
}

TEST(Apart, ADrillBetweenTwoHalvesOfThePieceIsNoHesitation) {
  const std::vector<Timeline> items{Tune(melody).timeline, Tune(drill).timeline};
  Recording r(30);
  add(r, {melody.begin(), melody.begin() + 8}, 1);
  const double drill_at = 1 + 8 * 0.6 + 0.6;
  const double second_at = drill_at + 16 * 0.6 + 0.6;
  add(r, drill, drill_at);
  add(r, {melody.begin() + 8, melody.end()}, second_at);
  const auto found = hear_apart(items, r.view());
  ASSERT_EQ(found.size(), 2U);
  const Hearing& piece = found[0].hearing;
  EXPECT_EQ(heard(piece), 16);
  EXPECT_NEAR(piece.notes[8].heard->onset.value(), second_at, 0.05);
  EXPECT_NEAR(found[1].hearing.notes[0].heard->onset.value(), drill_at, 0.05);
  for (const Finding& f : piece.findings) EXPECT_NE(f.kind, FindingKind::restart) << f.says;
}

TEST(Excerpts, TimesComeBackToTheRecording) {
  std::vector<float> samples(10000);
  for (std::size_t i = 0; i < samples.size(); ++i) samples[i] = static_cast<float>(i);
  const AudioView ten_seconds{samples, 1000};
  const auto parts = outside({{Seconds(2), Seconds(5)}, {Seconds(4), Seconds(6)}}, Seconds(10));
  const Excerpts excerpts({ten_seconds, ten_seconds.length(), 1000}, parts);
  ASSERT_EQ(excerpts.own().sound.samples.size(), 6000U);
  EXPECT_EQ(excerpts.own().sound.samples[2000], 6000);
  Hearing h;
  h.restarts = {{Seconds(1), 0, 0}, {Seconds(3), 0, 0}};
  excerpts.put_back(h);
  EXPECT_EQ(h.restarts[0].time, Seconds(1));
  EXPECT_EQ(h.restarts[1].time, Seconds(7));
  EXPECT_EQ(h.recording.length, Seconds(10));
}

// 0–2 s and 6–10 s of ten seconds, joined at 2 s.
struct Joined {
  std::vector<float> samples = std::vector<float>(10000);
  Excerpts excerpts{{{samples, 1000}, Seconds(10), 1000},
                    outside({{Seconds(2), Seconds(6)}}, Seconds(10))};
};

TEST(Excerpts, WhatEndsAtAJoinEndsBeforeWhatWasCutOut) {
  Hearing h;
  h.segments = {{SegmentKind::silence, 0, Seconds(0), Seconds(2), {}, {}},
                {SegmentKind::other, 0, Seconds(2), Seconds(3), {}, {}}};
  h.extra.resize(1);
  h.extra[0].onset = Seconds(1), h.extra[0].offset = Seconds(2);
  h.findings.resize(1);
  h.findings[0].from = Seconds(1), h.findings[0].to = Seconds(2);
  Joined().excerpts.put_back(h);
  ASSERT_EQ(h.segments.size(), 2U);
  EXPECT_EQ(h.segments[0].to, Seconds(2));
  EXPECT_EQ(h.segments[1].from, Seconds(6));
  EXPECT_EQ(h.segments[1].to, Seconds(7));
  EXPECT_EQ(h.extra[0].offset, Seconds(2));
  EXPECT_EQ(h.findings[0].to, Seconds(2));
}

TEST(Excerpts, ASegmentAcrossAJoinBecomesTwo) {
  Hearing h;
  for (int i = 0; i < 4; ++i) {
    NoteHearing& n = h.notes.emplace_back();
    n.index = i;
    n.heard = HeardNote{};
    n.heard->onset = Seconds(0.6 + 0.6 * i);  // 0.6, 1.2, 1.8, 2.4
    n.heard->offset = n.heard->onset + Seconds(0.6);
  }
  h.segments = {{SegmentKind::silence, 0, Seconds(0), Seconds(0.6), {}, {}},
                {SegmentKind::playing, 0, Seconds(0.6), Seconds(3), 0, 3},
                {SegmentKind::silence, 0, Seconds(3), Seconds(6), {}, {}}};
  Joined().excerpts.put_back(h);
  ASSERT_EQ(h.segments.size(), 4U);
  const Segment &before = h.segments[1], &after = h.segments[2];
  EXPECT_EQ(before.from, Seconds(0.6));
  EXPECT_EQ(before.to, Seconds(2));
  EXPECT_EQ(before.from_index, 0);
  EXPECT_EQ(before.to_index, 2);
  EXPECT_EQ(after.kind, SegmentKind::playing);
  EXPECT_EQ(after.from, Seconds(6));
  EXPECT_EQ(after.to, Seconds(7));
  EXPECT_EQ(after.from_index, 3);
  EXPECT_EQ(after.to_index, 3);
  EXPECT_EQ(h.segments[3].to, Seconds(10));
  EXPECT_EQ(h.notes[2].heard->offset, Seconds(2));  // the note that sounds into the join
  EXPECT_EQ(h.notes[3].heard->onset, Seconds(2.4) + Seconds(4));
}

// Before and after the scale the piece is silent, not while it is played.
TEST(Apart, NoSegmentOfAnItemHoldsThePlayingOfAnother) {
  const std::vector<Timeline> items{Tune(melody).timeline, Tune(scale).timeline};
  Recording r(24);
  const double piece_at = add(r, scale, 3) + 2;
  add(r, melody, piece_at);
  const auto found = hear_apart(items, r.view());
  ASSERT_EQ(found.size(), 2U);
  for (const Segment& s : found[0].hearing.segments) {
    const double shared = std::min(s.to.value(), 3 + 8 * 0.6 - 0.1) - std::max(s.from.value(), 3.1);
    EXPECT_LE(shared, 0) << s.from.value() << " to " << s.to.value();
  }
  EXPECT_EQ(found[0].hearing.segments.front().from, Seconds(0));
}

TEST(Apart, ADrillAloneLeavesThePieceUnreached) {
  const std::vector<Timeline> items{Tune(melody).timeline, Tune(drill).timeline};
  Recording r(14);
  add(r, drill, 1);
  const auto found = hear_apart(items, r.view());
  ASSERT_EQ(found.size(), 2U);
  EXPECT_EQ(heard(found[0].hearing), 0);
  EXPECT_TRUE(found[0].hearing.findings.empty());
  EXPECT_EQ(found[1].hearing.status, HearingStatus::ok);
}

}  // namespace
}  // namespace endpin::listen
