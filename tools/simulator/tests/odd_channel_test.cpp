#include "endpin/simulator/odd_channel.h"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "endpin/simulator/random.h"

#include "tone.h"

namespace endpin::simulator {
namespace {

Audio what_was_added(const Audio& to, Audio after) {
  for (std::size_t i = 0; i < after.samples.size(); ++i) after.samples[i] -= to.samples[i];
  return after;
}

TEST(OddChannel, AFaintFileHasItsPeakAndSixteenBits) {
  auto audio = tone(440, 1);
  faint(audio, Decibels(-50));
  const float peak = *std::max_element(audio.samples.begin(), audio.samples.end());
  EXPECT_NEAR(20 * std::log10(peak), -50, 0.1);
  for (const float s : audio.samples) EXPECT_FLOAT_EQ(s * 32768, std::round(s * 32768));
}

TEST(OddChannel, NoiseLinesAndDronesStandAtTheirDistance) {
  const auto clean = tone(660, 4);
  const auto distance = [&](auto&& add) {
    auto audio = clean;
    add(audio);
    return level_db(clean, 0, 4) - level_db(what_was_added(clean, audio), 0, 4);
  };
  EXPECT_NEAR(distance([](Audio& a) { add_hiss(a, Decibels(5), 1); }), 5, 0.3);
  EXPECT_NEAR(distance([](Audio& a) { add_machines(a, Decibels(10)); }), 10, 0.3);
  EXPECT_NEAR(distance([](Audio& a) { add_drone(a, Hertz(440), Decibels(9)); }), 9, 0.3);
}

TEST(OddChannel, AVoiceProcessorLeavesTonesAndTakesNoise) {
  auto audio = tone(440, 2);
  audio.samples.resize(3 * 44100);
  add_hiss(audio, Decibels(25), 1);
  const auto before = audio;
  voice_processing(audio);
  EXPECT_NEAR(level_db(audio, 0.3, 0.8), level_db(before, 0.3, 0.8), 1);
  EXPECT_LT(level_db(audio, 2.3, 2.8), level_db(before, 2.3, 2.8) - 20);
}

// The swing's way is its share over its angular rate: 0.01 / (2 pi 0.6 Hz) = 2.7 ms.
TEST(OddChannel, ASwingingTapeMovesNothingByMoreThanItsWay) {
  Audio audio{44100, std::vector<float>(3 * 44100)};
  for (std::size_t i = 2000; i < audio.samples.size(); i += 4410) audio.samples[i] = 1;
  wow(audio, 0.01, Hertz(0.6));
  for (std::size_t i = 2000; i < audio.samples.size() - 200; i += 4410) {
    const auto from = audio.samples.begin() + static_cast<std::ptrdiff_t>(i) - 200;
    const auto at = std::max_element(from, from + 400) - from;
    EXPECT_LT(std::abs(static_cast<double>(at) - 200), 0.0028 * 44100) << i;
  }
}

}  // namespace
}  // namespace endpin::simulator
