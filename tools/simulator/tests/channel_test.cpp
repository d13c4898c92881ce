#include "endpin/simulator/channel.h"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "endpin/simulator/random.h"

#include "tone.h"

namespace endpin::simulator {
namespace {

TEST(Channel, ARoomDecaysBySixtyDecibelsInItsTime) {
  Audio audio{44100, std::vector<float>(2 * 44100)};
  audio.samples[0] = 1;
  add_room(audio, Seconds(1.5), 1);
  const double fall = level_db(audio, 0.1, 0.2) - level_db(audio, 1.1, 1.2);
  EXPECT_NEAR(fall, 60 / 1.5, 6);  // a second of 1.5; darker towards the end
  EXPECT_FLOAT_EQ(audio.samples[0], 1);
}

TEST(Channel, NoiseStandsAtItsDistance) {
  auto audio = tone(440, 2);
  const auto clean = audio;
  add_noise(audio, Decibels(10), 1);
  for (std::size_t i = 0; i < audio.samples.size(); ++i) audio.samples[i] -= clean.samples[i];
  EXPECT_NEAR(level_db(clean, 0, 2) - level_db(audio, 0, 2), 10, 0.5);
}

// A second-order Butterworth filter passes -3.01 dB at its cutoff and falls 12 dB an octave.
TEST(Channel, TheHighPassIsAButterworth) {
  for (const auto& [hz, expected] : {std::pair{110.0, -3.01}, {55.0, -12.3}, {880.0, 0.0}}) {
    auto audio = tone(hz, 1);
    const auto clean = audio;
    high_pass(audio, Hertz(110));
    EXPECT_NEAR(level_db(audio, 0.3, 1) - level_db(clean, 0.3, 1), expected, 0.1) << hz;
  }
}

// A fourth-order Butterworth filter passes -3.01 dB at its cutoff and falls 24 dB an octave.
TEST(Channel, TheLowPassIsAButterworth) {
  for (const auto& [hz, expected] : {std::pair{1000.0, -3.01}, {2000.0, -24.2}, {100.0, 0.0}}) {
    auto audio = tone(hz, 1);
    const auto clean = audio;
    low_pass(audio, Hertz(1000));
    EXPECT_NEAR(level_db(audio, 0.3, 1) - level_db(clean, 0.3, 1), expected, 0.2) << hz;
  }
}

TEST(Channel, HumStandsAtItsDistance) {
  auto audio = tone(440, 2);
  const auto clean = audio;
  add_hum(audio, Decibels(12), Hertz(60));
  for (std::size_t i = 0; i < audio.samples.size(); ++i) audio.samples[i] -= clean.samples[i];
  EXPECT_NEAR(level_db(clean, 0, 2) - level_db(audio, 0, 2), 12, 0.5);
}

TEST(Channel, HandlingComesAndGoesAndIsTheSameForASeed) {
  auto audio = tone(440, 8), again = tone(440, 8);
  const auto clean = audio;
  add_handling(audio, Decibels(3), 1);
  add_handling(again, Decibels(3), 1);
  EXPECT_EQ(audio.samples, again.samples);
  for (std::size_t i = 0; i < audio.samples.size(); ++i) audio.samples[i] -= clean.samples[i];
  double least = 0, most = -200;
  for (double at = 0; at < 7.9; at += 0.1) {
    const double level = level_db(audio, at, at + 0.1) - level_db(clean, at, at + 0.1);
    least = std::min(least, level), most = std::max(most, level);
  }
  EXPECT_GT(most, -10);
  EXPECT_LT(most, 6);
  EXPECT_LT(least, -25);
}

TEST(Channel, GainControlLiftsWhatIsSoft) {
  auto soft = tone(440, 3, 0.01F);
  gain_control(soft);
  EXPECT_NEAR(level_db(soft, 2.5, 3), -18 - 3, 4.5);
}

}  // namespace
}  // namespace endpin::simulator
