#include "endpin/simulator/sampled_string.h"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

namespace endpin::simulator {
namespace {

/// A note from 0.1 s on, and a second of silence after it.
Performance one_note(int midi, double until_s) {
  Performance p;
  PlayedNote note;
  note.onset = Seconds(0.1);
  note.offset = Seconds(until_s);
  note.midi = midi;
  p.notes = {note};
  p.length = Seconds(until_s + 1);
  return p;
}

/// Vibrato of 5.5 Hz, peak to peak as many cents.
RecordedNote tone(double hz, int label, double vibrato_cents = 0) {
  RecordedNote note{{44100, {}}, label};
  double turns = 0;
  for (int i = 0; i < 3 * 44100; ++i) {
    const double t = i / 44100.0;
    const double in = std::min(1.0, t / 0.1) * std::min(1.0, (3 - t) / 0.3);
    const double cents = vibrato_cents / 2 * std::sin(2 * std::numbers::pi * 5.5 * t);
    turns += hz * std::exp2(cents / 1200) / 44100;
    double sum = 0;
    for (int h = 1; h < 8; ++h) sum += std::sin(2 * std::numbers::pi * h * turns) / h;
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

// The truth of a take is the pitch that was asked for: a recording's own vibrato would put a short
// note as many cents beside it. Pitch by periods between rising zero crossings.
TEST(SampledString, PlaysThePitchAskedForWhateverTheRecordingsVibrato) {
  Performance p = one_note(69, 3);
  p.bow_noise_db = -90;
  const auto audio = render(p, *sampled_string({tone(440, 69, 60)}), "violin", 1);
  double lowest = 1e9, highest = 0;
  for (double from = 0.5; from < 2.7; from += 0.05) {
    const auto begin = static_cast<std::size_t>(from * 44100), end = begin + 2205;
    double first = -1, last = -1;
    int periods = -1;
    for (auto i = begin; i < end; ++i) {
      const double a = audio.samples[i], b = audio.samples[i + 1];
      if (a >= 0 || b < 0) continue;
      last = static_cast<double>(i) - a / (b - a);
      if (periods++ < 0) first = last;
    }
    const double hz = 44100 * periods / (last - first);
    lowest = std::min(lowest, hz), highest = std::max(highest, hz);
  }
  EXPECT_NEAR(1200 * std::log2(lowest / 440), 0, 12);
  EXPECT_NEAR(1200 * std::log2(highest / 440), 0, 12);
}

TEST(SampledString, HoldsANoteLongerThanItsRecording) {
  const auto audio = render(one_note(57, 6), *sampled_string({tone(220, 57)}), "cello", 1);
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
