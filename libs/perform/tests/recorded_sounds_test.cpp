#include "endpin/perform/recorded_sounds.h"

#include <cmath>
#include <numbers>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "endpin/perform/tone_bank.h"

#include "ears.h"

namespace endpin {
namespace {

using testing::HasSubstr;

/// A bowed-like wave: eight harmonics falling off, `cents` beside `sounding`.
RecordedSound recording(int named, int sounding, double cents = 0, double seconds = 2) {
  RecordedSound sound{"note.wav", Technique::bowed, named, {}};
  const double f = frequency(sounding).value() * std::exp2(cents / 1200);
  sound.samples.resize(static_cast<std::size_t>(seconds * performance_rate));
  for (std::size_t i = 0; i < sound.samples.size(); ++i) {
    const double t = static_cast<double>(i) / performance_rate;
    double wave = 0;
    for (int h = 1; h <= 8; ++h) wave += std::sin(2 * std::numbers::pi * h * f * t) / h;
    sound.samples[i] = static_cast<float>(0.2 * std::min(1.0, t / 0.1) * wave);
  }
  return sound;
}

std::string failure(std::vector<RecordedSound> recordings) {
  const auto made = RecordedSounds::make(std::move(recordings));
  return made ? "no failure" : made.error().line();
}

TEST(RecordedSounds, AreMadeInTuneAndShiftedToTheirNeighbours) {
  auto sounds = RecordedSounds::make({recording(50, 50, -40), recording(57, 57, 15)});
  ASSERT_TRUE(sounds) << sounds.error().line();
  ToneBank tones(*sounds);
  for (const int midi : {47, 50, 53, 54, 57, 60}) {
    const auto tone = tones.tone(Technique::bowed, midi, 6 * performance_rate);
    ASSERT_TRUE(tone);
    const Audio audio{performance_rate, {tone->samples.begin(), tone->samples.end()}};
    EXPECT_NEAR(ears::mean_cents(audio, 0.2, 1.0, midi), 0, 3) << midi;
    EXPECT_NEAR(ears::mean_cents(audio, 4.5, 5.9, midi), 0, 3) << "going round, " << midi;
  }
}

TEST(RecordedSounds, AreRefusedWhereNameAndPitchDisagree) {
  EXPECT_THAT(failure({recording(70, 69)}), HasSubstr("named Bb4 and sounds as A4"));
}

TEST(RecordedSounds, AreRefusedWhenTooShortOrSilentOrNone) {
  EXPECT_THAT(failure({recording(50, 50, 0, 0.5)}), HasSubstr("note.wav: this sound is too short"));
  RecordedSound silence = recording(50, 50);
  std::fill(silence.samples.begin(), silence.samples.end(), 0.0F);
  EXPECT_THAT(failure({silence}), HasSubstr("silent"));
  EXPECT_THAT(failure({}), HasSubstr("no sounds"));
}

TEST(RecordedSounds, DoNotReachFarBeyondWhatWasRecorded) {
  auto sounds = RecordedSounds::make({recording(50, 50)});
  ASSERT_TRUE(sounds);
  EXPECT_FALSE(sounds->sound(Technique::bowed, 60, 100));
  EXPECT_FALSE(sounds->sound(Technique::plucked, 50, 100));
}

}  // namespace
}  // namespace endpin
