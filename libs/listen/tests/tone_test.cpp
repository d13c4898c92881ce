#include "measure/tone.h"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "features/pitch_evidence.h"
#include "played.h"

namespace endpin::listen {
namespace {

TEST(PitchEvidence, PrefersTheSoundingPitchFromC2ToE7) {
  for (int midi = 36; midi <= 100; midi += 4) {
    Recording r(1);
    r.add({0.1, 0.8, static_cast<double>(midi)});
    const SoundFeatures sound = sound_features(r.view(), {.low_notes = midi < 55}, {});
    const PitchEvidence pitch(sound, 28, 105, 0);
    const auto middle = static_cast<std::size_t>(0.5 / sound.pitch_step_s());
    EXPECT_EQ(pitch.best_midi(middle), midi);
  }
}

TEST(PitchEvidence, FindsTheTuningOfATone) {
  Recording r(1);
  r.add({0.1, 0.8, 69.12});
  EXPECT_NEAR(tuning_cents(sound_features(r.view(), {}, {})), 12, 1.5);
}

TEST(FrameDeviation, MeasuresAHarmonicToneToACent) {
  for (const double cents : {-40.0, -7.0, 0.0, 33.0}) {
    Recording r(1);
    r.add({0.1, 0.8, 64 + cents / 100});
    const SoundFeatures sound = sound_features(r.view(), {}, {});
    const auto found = frame_deviation(
        sound.partials_at(static_cast<std::size_t>(0.5 / sound.pitch_step_s())), 64, 0, {});
    ASSERT_TRUE(found);
    EXPECT_NEAR(*found, cents, 1);
  }
}

TEST(FindVibrato, MeasuresRateAndWidthOfWholeCycles) {
  std::vector<double> track;
  const double window_loss = 0.83;  // a Hann window of 80 ms at 5.5 Hz passes that much
  for (int i = 0; i < 80; ++i) {
    track.push_back(3 + window_loss * 15 * std::sin(2 * std::numbers::pi * 5.5 * i * 0.01));
  }
  const auto v = find_vibrato(track, 0.01);
  ASSERT_TRUE(v);
  EXPECT_NEAR(v->rate_hz, 5.5, 0.2);
  EXPECT_NEAR(v->extent.value(), 30, 4);
}

// Two cycles are the fewest that tell a vibrato from a slide there and back.
TEST(FindVibrato, MeasuresTwoCyclesAndRefusesOne) {
  const auto sine_of = [](double cycles) {
    std::vector<double> track;
    for (int i = 0; i < 45; ++i) {
      track.push_back(12 * std::sin(2 * std::numbers::pi * cycles * i / 45));
    }
    return track;
  };
  const auto two = find_vibrato(sine_of(2.1), 0.01);
  ASSERT_TRUE(two);
  EXPECT_NEAR(two->rate_hz, 2.1 / 0.45, 0.5);
  EXPECT_FALSE(find_vibrato(sine_of(1), 0.01));
}

// The middle of its window is a frame's time, at every rate: a click's energy has its centre where
// the click is.
TEST(SoundFeatures, PlaceAClickByItsLevelWithinTwoMilliseconds) {
  for (const double rate : {16000.0, 24000.0, 44100.0, 48000.0}) {
    for (const double at_s : {0.5, 0.6013, 0.7027}) {
      std::vector<float> samples(static_cast<std::size_t>(rate));
      samples[static_cast<std::size_t>(std::lround(at_s * rate))] = 0.9F;
      const SoundFeatures sound = sound_features({samples, rate}, {}, {});
      double sum = 0, moment = 0;
      for (std::size_t i = 0; i < sound.onset.size(); ++i) {
        if (sound.onset[i].level_db < -80) continue;  // what is left is the floor
        const double power = std::pow(10, sound.onset[i].level_db / 10);
        sum += power, moment += power * static_cast<double>(i) * sound.step_s;
      }
      ASSERT_GT(sum, 0) << rate;
      EXPECT_NEAR(moment / sum, at_s, 0.002) << rate;
    }
  }
}

TEST(FindVibrato, FindsNoneInASteadyTone) {
  std::vector<double> track;
  for (int i = 0; i < 80; ++i) track.push_back(0.5 * std::sin(i * i));
  EXPECT_FALSE(find_vibrato(track, 0.01));
}

}  // namespace
}  // namespace endpin::listen
