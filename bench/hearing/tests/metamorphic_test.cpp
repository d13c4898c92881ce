// What must not change, or must change by a known amount, when a recording is changed.
#include <cmath>

#include <gtest/gtest.h>

#include "endpin/listen/listen.h"
#include "endpin/simulator/channel.h"
#include "endpin/simulator/performance.h"
#include "endpin/simulator/sound.h"
#include "endpin/simulator/tunes.h"

namespace endpin {
namespace {

using namespace simulator;

struct Played {
  Timeline timeline;
  simulator::Performance performance;
  Audio audio;
};

Timeline short_tune() {
  TuneOptions options;
  options.bars = 5;
  options.bpm = 100;
  options.seed = 4;
  return random_tune(options);
}

Played played(const Timeline& timeline) {
  Played p{timeline, perform(timeline, plan_of(timeline), good_student(), 3), {}};
  p.audio = render(p.performance, *synthetic_string("cello", 200), "cello", 5);
  add_noise(p.audio, Decibels(45), 1);
  return p;
}
const Played& original() {
  static const Played once = played(short_tune());
  return once;
}

Hearing heard(const Timeline& timeline, const Audio& audio) {
  return hear(std::span(&timeline, 1), {audio.samples, static_cast<double>(audio.rate)});
}
const Hearing& first_hearing() {
  static const Hearing once = heard(original().timeline, original().audio);
  return once;
}

/// Same states, of notes that were heard; onsets later by `later_s`.
void expect_same(const Hearing& changed, double later_s, double tolerance_s) {
  const auto& before = first_hearing();
  ASSERT_FALSE(before.notes.empty());
  ASSERT_EQ(changed.notes.size(), before.notes.size());
  for (std::size_t i = 0; i < before.notes.size(); ++i) {
    const auto& a = before.notes[i];
    const auto& b = changed.notes[i];
    ASSERT_EQ(a.state, b.state) << i;
    ASSERT_TRUE(a.heard && b.heard) << i;
    EXPECT_NEAR(b.heard->onset.value() - a.heard->onset.value(), later_s, tolerance_s) << i;
  }
}

/// The mean pitch of all notes in cents above what is written at A4 = 440 Hz.
double mean_cents(const Hearing& hearing) {
  double sum = 0;
  std::size_t count = 0;
  for (const auto& n : hearing.notes) {
    if (!n.heard || !n.heard->intonation) continue;
    sum += n.heard->intonation->value();
    ++count;
  }
  EXPECT_GT(2 * count, hearing.notes.size());  // a mean over hardly any note says nothing
  const Hertz a4 = hearing.reference.a4.value_or(standard_a4);
  return sum / static_cast<double>(std::max<std::size_t>(count, 1)) +
         interval(standard_a4, a4).value();
}

TEST(HearingUnderChange, HearsEveryNoteOfTheOriginal) {
  for (const auto& note : first_hearing().notes) EXPECT_EQ(note.state, NoteState::heard);
}

TEST(HearingUnderChange, GainAndPolarityDoNotMatter) {
  auto audio = original().audio;
  for (auto& s : audio.samples) s *= -0.03F;
  const auto hearing = heard(original().timeline, audio);
  expect_same(hearing, 0, 0.003);
  EXPECT_NEAR(mean_cents(hearing), mean_cents(first_hearing()), 0.5);
}

TEST(HearingUnderChange, ADelayOfSomeSamplesMovesTheOnsetsByIt) {
  auto audio = original().audio;
  audio.samples.insert(audio.samples.begin(), 4000, 0.0F);
  expect_same(heard(original().timeline, audio), 4000.0 / audio.rate, 0.015);
}

TEST(HearingUnderChange, SilenceBeforehandMovesTheOnsetsByItsLength) {
  auto audio = original().audio;
  audio.samples.insert(audio.samples.begin(), static_cast<std::size_t>(5 * audio.rate), 0.0F);
  expect_same(heard(original().timeline, audio), 5, 0.015);
}

TEST(HearingUnderChange, TwentyCentsOfResamplingRaiseThePitchAndNothingElse) {
  auto audio = original().audio;
  const double ratio = std::exp2(20.0 / 1200);
  std::vector<float> faster;
  for (double at = 0; at + 1 < static_cast<double>(audio.samples.size()); at += ratio) {
    const auto i = static_cast<std::size_t>(at);
    const auto part = static_cast<float>(at - static_cast<double>(i));
    faster.push_back((1 - part) * audio.samples[i] + part * audio.samples[i + 1]);
  }
  audio.samples = std::move(faster);
  const auto hearing = heard(original().timeline, audio);
  for (const auto& note : hearing.notes) EXPECT_EQ(note.state, NoteState::heard) << note.index;
  EXPECT_NEAR(mean_cents(hearing) - mean_cents(first_hearing()), 20, 2);
}

TEST(HearingUnderChange, ScoreAndSoundTransposedTogetherAreHeardAsWell) {
  auto higher = short_tune();
  for (auto& note : higher.notes) {
    note.midi += 7;
    note.spelled = spell(note.midi, higher.fifths + 1);
  }
  higher.fifths += 1;
  const auto p = played(higher);
  const auto hearing = heard(higher, p.audio);
  ASSERT_EQ(hearing.notes.size(), first_hearing().notes.size());
  for (std::size_t i = 0; i < hearing.notes.size(); ++i) {
    ASSERT_EQ(hearing.notes[i].state, NoteState::heard) << i;
    const double truth = p.performance.notes[i].onset.value();
    EXPECT_NEAR(hearing.notes[i].heard->onset.value(), truth, 0.06) << i;
  }
}

}  // namespace
}  // namespace endpin
