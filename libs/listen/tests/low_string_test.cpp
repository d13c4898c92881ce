// A low string's pulses come one by one into a short window: they are no dips and no strokes.
#include <cmath>
#include <numbers>
#include <span>

#include <gtest/gtest.h>

#include "endpin/listen/findings.h"

#include "align/observations.h"
#include "measure/stroke.h"
#include "played.h"

namespace endpin::listen {
namespace {

double hz_of(int midi) { return 440 * std::exp2((midi - 69) / 12.0); }

struct Bow {
  double from_s, to_s;
};

// Strokes of a bowed string: Helmholtz's sawtooth, 20 ms to and from silence.
void bow(Recording& r, int midi, const Bow& stroke) {
  auto& x = r.samples();
  for (auto n = static_cast<std::size_t>(stroke.from_s * Recording::rate);
       n < x.size() && static_cast<double>(n) < stroke.to_s * Recording::rate; ++n) {
    const double t = static_cast<double>(n) / Recording::rate;
    const double edge = std::min({1.0, (t - stroke.from_s) / 0.02, (stroke.to_s - t) / 0.02});
    for (int h = 1; h * hz_of(midi) < 5000; ++h) {
      x[n] +=
          static_cast<float>(0.1 / h * edge * std::sin(2 * std::numbers::pi * hz_of(midi) * h * t));
    }
  }
}

SoundFeatures features(const Recording& r, int midi) {
  return sound_features(r.view(), {.low_notes = true, .longest_period_s = 1 / hz_of(midi)}, {});
}

TEST(LowString, HeldHasNeitherDipsNorStrokes) {
  for (const int midi : {28, 31, 33, 36, 40, 43}) {
    Recording r(3);
    bow(r, midi, {0.3, 2.7});
    const SoundFeatures sound = features(r, midi);
    for (double at = 1; at < 2.2; at += sound.step_s) EXPECT_LT(level_dip(sound, at), 1.5) << midi;
    EXPECT_LT(sound.strongest_onset(1, 2.2), 0) << midi;
  }
}

TEST(LowString, StruckAgainShowsBoth) {
  for (const int midi : {28, 31, 33, 36, 40, 43}) {
    Recording r(3);
    bow(r, midi, {0.3, 1.48});
    bow(r, midi, {1.54, 2.7});
    const SoundFeatures sound = features(r, midi);
    EXPECT_GT(level_dip(sound, 1.54), 9) << midi;
    EXPECT_GT(sound.strongest_onset(1.5, 1.58), 1.5) << midi;
  }
}

// Two taps on the stand, 12 ms of noise each, before and after: the tone between them is no dip.
TEST(Stroke, KnocksAroundAHeldToneAreNoDip) {
  Recording r(3);
  bow(r, 55, {0.3, 2.7});
  std::uint32_t chance = 3;
  for (const double knock_s : {1.35, 1.58}) {
    const auto from = static_cast<std::size_t>(knock_s * Recording::rate);
    for (std::size_t i = 0; i < 288; ++i) {
      chance = chance * 1664525U + 1013904223U;
      r.samples()[from + i] += 0.9F * (static_cast<float>(chance >> 8U) / 8388608.0F - 1);
    }
  }
  EXPECT_LT(level_dip(features(r, 55), 1.5), 3);
}

TEST(LowString, PlayedRightIsNotCalledPlayedTwice) {
  Tune tune({28, 33, 31, 30, 28, 35, 33, 31, 36, 33, 30, 28});
  tune.timeline.instrument = "bass";
  Recording r(0.5 + 12 * 0.67 + 1);
  double at = 0.5;
  for (const TimelineNote& n : tune.timeline.notes) bow(r, n.midi, {at, at + 0.64}), at += 0.67;
  Hearing hearing = hear_one(tune, r);
  add_findings(hearing, std::span(&tune.timeline, 1));
  EXPECT_EQ(hearing.status, HearingStatus::ok);
  for (const Finding& f : hearing.findings) EXPECT_NE(tone(f.kind), Tone::work) << f.says;
}

}  // namespace
}  // namespace endpin::listen
