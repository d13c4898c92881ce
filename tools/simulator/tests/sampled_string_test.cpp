#include "endpin/simulator/sampled_string.h"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

namespace endpin::simulator {
namespace {

RecordedNote tone(double hz, int label) {
  RecordedNote note{{44100, {}}, label};
  for (int i = 0; i < 3 * 44100; ++i) {
    const double t = i / 44100.0;
    const double in = std::min(1.0, t / 0.1) * std::min(1.0, (3 - t) / 0.3);
    double sum = 0;
    for (int h = 1; h < 8; ++h) sum += std::sin(2 * std::numbers::pi * h * hz * t) / h;
    note.audio.samples.push_back(static_cast<float>(0.2 * in * sum));
  }
  return note;
}

TEST(SampledString, MeasuresWhatAFileReallySounds) {
  for (const double cents : {-44.0, 0.0, 30.0, 100.0}) {  // 100: labelled a semitone too low
    const double hz = 110 * std::exp2(cents / 1200);
    const auto measured = measure_note(tone(hz, 45));
    ASSERT_TRUE(measured);
    EXPECT_NEAR(1200 * std::log2(measured->hz / hz), 0, 1) << cents;
  }
}

TEST(SampledString, GoesRoundWhereTheWaveformFits) {
  const auto measured = measure_note(tone(196, 55));
  ASSERT_TRUE(measured);
  const double periods = (measured->loop_to_s - measured->loop_from_s) * 196;
  EXPECT_NEAR(periods, std::round(periods), 0.02);
}

TEST(SampledString, HoldsANoteLongerThanItsRecording) {
  Performance p;
  PlayedNote note;
  note.onset = Seconds(0.1);
  note.offset = Seconds(6);
  note.midi = 57;
  p.notes = {note};
  p.length = Seconds(7);
  const auto audio = render(p, *sampled_string({tone(220, 57)}), "cello", 1);
  for (int second = 1; second < 6; ++second) {
    double power = 0;
    for (int i = 0; i < 4410; ++i) {
      const float s = audio.samples[static_cast<std::size_t>(second * 44100 - 4410 + i)];
      power += static_cast<double>(s) * s;
    }
    EXPECT_GT(std::sqrt(power / 4410), 0.05) << second;
  }
}

}  // namespace
}  // namespace endpin::simulator
