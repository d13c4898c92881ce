// What is only dying away is told from what a bow keeps up.
#include "features/fading.h"

#include <numbers>

#include <gtest/gtest.h>

#include "features/pitch_evidence.h"
#include "played.h"

namespace endpin::listen {
namespace {

// A room's level falls evenly in decibels: 60 within its reverberation time (ISO 3382-1).
constexpr double reverberation_s = 1.5;

/// A tone held for 1.5 s from 0.5 s on, then left to such a room.
void add_left_to_the_room(Recording& r, double midi, double until_s) {
  r.add({0.5, 1.5, midi});
  constexpr double piece_s = 0.03;
  for (double at = 2.0; at < until_s; at += piece_s) {
    const double db = -60 * (at - 2.0) / reverberation_s;
    // Pieces overlap by their 30 ms of rise and fall, so that their levels add up evenly.
    r.add({at - piece_s, 2 * piece_s, midi, 0.2 * std::pow(10.0, db / 20)});
  }
}

float most_lost(const SoundFeatures& sound, double from_s, double to_s) {
  float most = 0;
  for (double s = from_s; s < to_s; s += sound.pitch_step_s()) {
    const auto f = static_cast<std::size_t>(s / sound.pitch_step_s());
    most = std::max(most, 1 - sound.strongest_played[f] / sound.strongest[f]);
  }
  return most;
}

TEST(Fading, AHeldToneLosesNothingAndARoomsTailNearlyAllItMay) {
  Recording r(4);
  add_left_to_the_room(r, 69, 3.2);
  const SoundFeatures sound = sound_features(r.view(), {}, {});
  EXPECT_LT(most_lost(sound, 0.7, 1.9), 0.02F);
  // The sixth root of a power that is 20 dB less is 0.46 of it.
  EXPECT_GT(most_lost(sound, 2.3, 2.7), 0.5F);
}

// A vibrato of level by 3 dB each way, 5.5 cycles a second.
TEST(Fading, AToneWhoseLevelSwingsWithItsVibratoIsHeld) {
  Recording r(3);
  r.add({0.2, 2.6, 69});
  for (std::size_t i = 0; i < r.samples().size(); ++i) {
    const double t = static_cast<double>(i) / Recording::rate;
    const double db = 3 * std::sin(2 * std::numbers::pi * 5.5 * t);
    r.samples()[i] *= static_cast<float>(std::pow(10.0, db / 20));
  }
  const SoundFeatures sound = sound_features(r.view(), {}, {});
  EXPECT_LT(most_lost(sound, 0.5, 2.7), 0.05F);
}

// All partials of A5 are partials of the A4 that rings on beneath it.
TEST(PitchEvidence, OfWhatIsPlayedTellsTheOctaveOfANoteThatRingsOn) {
  Recording r(4);
  add_left_to_the_room(r, 69, 3.2);
  r.add({2.0, 1.0, 81, 0.1});
  const SoundFeatures sound = sound_features(r.view(), {}, {});
  const PitchEvidence sounding(sound, 50, 100, 0);
  const PitchEvidence played(sound, 50, 100, 0, {}, Weighing::played);
  const auto told_s = [&](const PitchEvidence& pitch) {
    std::size_t f = static_cast<std::size_t>(2.0 / sound.pitch_step_s());
    while (f < pitch.frames() && pitch.best_midi(f) != 81) ++f;
    return static_cast<double>(f) * sound.pitch_step_s() - 2.0;
  };
  EXPECT_LT(told_s(played), 0.25);
  EXPECT_LT(told_s(played) + 0.2, told_s(sounding));
}

}  // namespace
}  // namespace endpin::listen
