// What is done before a piece and after it is no playing of it, and long rests and notes are as
// long as they are.
#include <algorithm>
#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "endpin/listen/findings.h"

#include "played.h"

namespace endpin::listen {
namespace {

// Stepwise, in G major.
const std::vector<int> piece{67, 69, 71, 69, 72, 71, 69, 67, 71, 72, 74, 72, 71, 69, 71, 67,
                             69, 71, 72, 74, 76, 74, 72, 71, 69, 71, 69, 67, 66, 67, 69, 67};
const std::vector<int> scale{67, 69, 71, 72, 74, 76, 78, 79, 78, 76, 74, 72, 71, 69, 67, 67};
const std::vector<int> arpeggios{67, 71, 74, 79, 74, 71, 67, 67, 72, 76, 79, 76, 72, 67, 67, 67};
constexpr double each_s = 0.6;

double after(const std::vector<int>& notes) { return each_s * static_cast<double>(notes.size()); }

void add(Recording& r, const std::vector<int>& notes, double at_s) {
  for (std::size_t i = 0; i < notes.size(); ++i) {
    r.add({at_s + each_s * static_cast<double>(i), 0.92 * each_s, static_cast<double>(notes[i])});
  }
}

// Syllables whose pitch glides, five in two seconds.
void talk(Recording& r, double from_s, double to_s) {
  int k = 0;
  for (double at = from_s; at + 0.3 < to_s; at += 0.4, ++k) {
    const double from = 45 + (k * 7) % 11, by = (k * 5) % 9 - 4;
    double phase = 0;
    for (int i = 0; i < static_cast<int>(0.3 * Recording::rate); ++i) {
      const double t = i / Recording::rate;
      phase +=
          2 * std::numbers::pi * 440 * std::exp2((from + by * t / 0.3 - 69) / 12) / Recording::rate;
      const double level = 0.1 * std::min({1.0, t / 0.05, (0.3 - t) / 0.05});
      float& x =
          r.samples()[static_cast<std::size_t>(at * Recording::rate) + static_cast<std::size_t>(i)];
      for (int h = 1; h <= 12; ++h) x += static_cast<float>(level / h * std::sin(h * phase));
    }
  }
}

std::vector<FindingKind> said(const Hearing& h, const Tune& tune) {
  return work(findings(h, tune.timeline));
}

void expect_all_heard(const Hearing& h) {
  ASSERT_EQ(h.status, HearingStatus::ok);
  for (const NoteHearing& n : h.notes) EXPECT_EQ(n.state, NoteState::heard) << n.index;
}

TEST(AroundPlaying, AWarmUpInTheKeyIsNoTryOfThePiece) {
  const Tune tune(piece, 100);
  for (const auto& warm_up : {scale, arpeggios}) {
    const double begin = 0.5 + after(warm_up) + 1.5;
    Recording r(begin + after(piece) + 1);
    add(r, warm_up, 0.5);
    add(r, piece, begin);
    const Hearing h = hear_one(tune, r);
    expect_all_heard(h);
    EXPECT_NEAR(h.notes[0].heard->onset.value(), begin, 0.05);
    EXPECT_TRUE(h.restarts.empty());
    EXPECT_EQ(said(h, tune), std::vector<FindingKind>{});
  }
}

TEST(AroundPlaying, TheBeginningMayBeTriedTwiceBeforeAllIsPlayed) {
  const Tune tune(piece, 100);
  std::vector<int> played;
  for (const std::ptrdiff_t notes : {8, 8, 32}) {
    played.insert(played.end(), piece.begin(), piece.begin() + notes);
  }
  Recording r(0.5 + after(played) + 1);
  add(r, played, 0.5);
  const Hearing h = hear_one(tune, r);
  expect_all_heard(h);
  EXPECT_EQ(h.restarts.size(), 2U);
}

TEST(AroundPlaying, ToPlayThePieceOnceMoreIsNoFault) {
  const Tune tune(piece, 100);
  Recording r(0.5 + 3 * after(piece) + 1);
  for (int k = 0; k < 3; ++k) add(r, piece, 0.5 + k * after(piece));
  const Hearing h = hear_one(tune, r);
  expect_all_heard(h);
  EXPECT_EQ(h.restarts.size(), 2U);
  EXPECT_EQ(said(h, tune), std::vector<FindingKind>{});
}

// What happened in one of two items is not said of the other.
TEST(AroundPlaying, ARestartIsOfTheItemInWhichItWas) {
  const std::vector items{Tune(scale, 100).timeline, Tune(piece, 100).timeline};
  std::vector<int> played(piece.begin(), piece.begin() + 14);
  played.insert(played.end(), piece.begin() + 8, piece.end());
  const double begin = 0.5 + after(scale) + 1;
  Recording r(begin + after(played) + 1);
  add(r, scale, 0.5);
  add(r, played, begin);
  const Hearing h = hear(items, r.view(), {});
  expect_all_heard(h);
  ASSERT_EQ(h.restarts.size(), 1U);
  EXPECT_EQ(h.restarts[0].item, 1);
  EXPECT_EQ(work(findings(h, items[0], {}, 0)), std::vector<FindingKind>{});
  EXPECT_EQ(work(findings(h, items[1], {}, 1)), std::vector{FindingKind::restart});
  EXPECT_EQ(h.bars.size(), 12U);
  EXPECT_EQ(h.range_from, std::nullopt);
}

// Two thirds of the piece and then all of it: that was a try.
TEST(AroundPlaying, MuchOfThePieceBeforeItsBeginningIsATry) {
  const Tune tune(piece, 100);
  const std::vector<int> most(piece.begin() + 8, piece.end());
  const double begin = 0.5 + after(most) + 0.6;
  Recording r(begin + after(piece) + 1);
  add(r, most, 0.5);
  add(r, piece, begin);
  const Hearing h = hear_one(tune, r);
  ASSERT_EQ(h.restarts.size(), 1U);
  EXPECT_NEAR(h.restarts[0].time.value(), begin, 0.3);
}

TEST(AroundPlaying, TalkLongerThanThePieceHidesNothing) {
  const Tune tune(piece, 100);
  const double begin = 12, end = begin + after(piece), length = end + 22;
  Recording r(length);
  add(r, piece, begin);
  talk(r, 0.5, begin - 1);
  talk(r, end + 1, length);
  const Hearing h = hear_one(tune, r);
  expect_all_heard(h);
  EXPECT_EQ(said(h, tune), std::vector<FindingKind>{});
  EXPECT_NEAR(h.notes.back().heard->offset->value(), end, 0.2);
  for (const Segment& s : h.segments) {
    if (s.kind == SegmentKind::count_in) {
      EXPECT_LT(s.to.value() - s.from.value(), 9 * each_s);
    }
    if (s.kind == SegmentKind::playing) {
      EXPECT_NEAR(s.to.value(), end, 0.3);
    }
  }
}

// Every fifth note at first stands alone at the beginning of `beats` beats.
Tune with_rests(int beats, int of_note) {
  Tune tune(piece, 100);
  std::int64_t at = 0;
  for (TimelineNote& n : tune.timeline.notes) {
    const bool alone = n.index % 5 == 4;
    n.onset = Beats(at);
    n.duration = Beats(alone ? of_note : 1);
    at += alone ? beats : 1;
  }
  tune.timeline.bars.clear();
  for (std::int64_t start = 0; start < at; start += 4) {
    TimelineBar bar;
    bar.number = std::to_string(start / 4 + 1);
    bar.written_index = static_cast<int>(start / 4);
    bar.start = Beats(start), bar.length = Beats(4);
    tune.timeline.bars.push_back(bar);
  }
  for (TimelineNote& n : tune.timeline.notes) {
    n.bar = std::to_string(static_cast<int>(n.onset.to_double()) / 4 + 1);
  }
  return tune;
}

// Each note for `share` of a quarter, in noise of some level.
Recording played(const Tune& tune, double share, float noise) {
  const TimelineNote& last = tune.timeline.notes.back();
  Recording r(0.5 + each_s * (last.onset + last.duration).to_double() + 1);
  for (const TimelineNote& n : tune.timeline.notes) {
    const double part = n.index % 5 == 4 ? share : 0.92;
    r.add({0.5 + each_s * n.onset.to_double(), part * each_s, static_cast<double>(n.midi)});
  }
  return r.add_noise(noise);
}

TEST(AroundPlaying, ANoteEndsWhereItDoesHoweverLongTheRestAfterIt) {
  for (const float noise : {0.0F, 0.02F}) {
    for (const int beats : {4, 8}) {
      const Tune tune = with_rests(beats, 1);
      const Hearing h = hear_one(tune, played(tune, 0.92, noise));
      expect_all_heard(h);
      for (const NoteHearing& n : h.notes) {
        if (n.index % 5 == 4 && n.heard->sounding_ratio) {
          EXPECT_NEAR(*n.heard->sounding_ratio, 0.92, 0.2) << beats << " beats, note " << n.index;
        }
      }
    }
  }
}

TEST(AroundPlaying, AHalfNoteLeftAfterAnEighthIsShortThoughARestFollows) {
  for (const float noise : {0.0F, 0.02F}) {
    const Tune tune = with_rests(4, 2);
    const Hearing h = hear_one(tune, played(tune, 0.5, noise));
    expect_all_heard(h);
    const auto kinds = said(h, tune);
    EXPECT_GE(std::count(kinds.begin(), kinds.end(), FindingKind::short_held), 5) << noise;
  }
}

// A pedal over eight bars and more.
TEST(AroundPlaying, ANoteOfHalfAMinuteBeginsWhereItDoes) {
  Tune tune(piece, 100);
  constexpr std::int64_t held = 48;
  for (TimelineNote& n : tune.timeline.notes) {
    if (n.index == 12) n.duration = Beats(held);
    if (n.index > 12) n.onset = n.onset + Beats(held - 1);
  }
  tune.timeline.bars.clear();
  Recording r(0.5 + each_s * (31 + held) + 1);
  for (const TimelineNote& n : tune.timeline.notes) {
    const double seconds = each_s * n.duration.to_double();
    r.add({0.5 + each_s * n.onset.to_double(), seconds - 0.05, static_cast<double>(n.midi)});
  }
  const Hearing h = hear_one(tune, r);
  expect_all_heard(h);
  EXPECT_NEAR(h.notes[12].heard->onset.value(), 0.5 + 12 * each_s, 0.05);
}

// Half a semitone and further off, and A4 = 415 Hz, at which old music is played (common practice).
TEST(AroundPlaying, AnInstrumentTunedFarOffPlaysThePieceAllTheSame) {
  const Tune tune(piece, 100);
  for (const double cents : {-48.0, -58.0, -101.3, 58.0}) {
    Recording r(1.5 + after(piece));
    for (std::size_t i = 0; i < piece.size(); ++i) {
      r.add({0.5 + each_s * static_cast<double>(i), 0.92 * each_s, piece[i] + cents / 100});
    }
    const Hearing h = hear_one(tune, r);
    ASSERT_EQ(h.status, HearingStatus::ok) << cents;
    EXPECT_NEAR(h.reference.a4->value(), 440 * std::exp2(cents / 1200), 0.8) << cents;
    EXPECT_EQ(said(h, tune), std::vector<FindingKind>{}) << cents;
  }
}

TEST(AroundPlaying, TheLowestAndHighestPitchesOfMidiAreNotWhatWasPlayed) {
  const Tune sounding(piece, 100);
  const Recording r = play(sounding, all_of(sounding), each_s);
  for (const std::vector<int>& notes : {std::vector{0, 2, 4, 5, 7, 5, 4, 2, 0, 0, 2, 0},
                                        std::vector{14, 16, 17, 19, 19, 17, 16, 14, 14, 16},
                                        std::vector{120, 122, 124, 125, 127, 125, 124, 122}}) {
    const Hearing h = hear_one(Tune(notes, 100), r);
    EXPECT_TRUE(h.status == HearingStatus::wrong_piece || h.status == HearingStatus::no_music);
  }
}

}  // namespace
}  // namespace endpin::listen
