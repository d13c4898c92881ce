#include "endpin/simulator/sound.h"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "endpin/simulator/tunes.h"

namespace endpin::simulator {
namespace {

Performance one_note(int midi, double cents) {
  Performance p;
  PlayedNote note;
  note.index = 0;
  note.onset = Seconds(0.5);
  note.offset = Seconds(2.0);
  note.midi = midi;
  note.cents = cents;
  p.notes = {note};
  p.length = Seconds(2.5);
  return p;
}

double level(const Audio& audio, double from, double to) {
  double sum = 0;
  const auto a = static_cast<std::size_t>(from * audio.rate);
  const auto b = static_cast<std::size_t>(to * audio.rate);
  for (auto i = a; i < b; ++i) sum += static_cast<double>(audio.samples[i]) * audio.samples[i];
  return std::sqrt(sum / static_cast<double>(b - a));
}

/// Strength of a complex tone at `hz`: |sum over x e^(-iwt)| for the first three harmonics.
double strength(const Audio& audio, double hz, double from, double to) {
  double power = 0;
  for (int h = 1; h <= 3; ++h) {
    double re = 0;
    double im = 0;
    const auto a = static_cast<std::size_t>(from * audio.rate);
    const auto b = static_cast<std::size_t>(to * audio.rate);
    for (auto i = a; i < b; ++i) {
      const double phase = 2 * std::numbers::pi * h * hz * static_cast<double>(i) / audio.rate;
      re += static_cast<double>(audio.samples[i]) * std::cos(phase);
      im += static_cast<double>(audio.samples[i]) * std::sin(phase);
    }
    power += re * re + im * im;
  }
  return power;
}

TEST(Sound, SoundsWhereTheNoteIsAndNowhereElse) {
  const auto audio = render(one_note(57, 0), *synthetic_string("cello", 0), "cello", 1);
  EXPECT_GT(level(audio, 0.6, 1.9), 0.05);
  EXPECT_LT(level(audio, 0.0, 0.45), 1e-4);
  EXPECT_LT(level(audio, 2.35, 2.5), 0.01 * level(audio, 0.6, 1.9));
}

TEST(Sound, StandsAtItsPitchToAFewCents) {
  for (const double cents : {-40.0, 0.0, 30.0}) {
    const auto audio = render(one_note(57, cents), *synthetic_string("cello", 1), "cello", 1);
    double best = 0;
    double best_power = 0;
    for (double c = -80; c <= 80; c += 2) {
      const double power = strength(audio, 220 * std::exp2(c / 1200), 0.7, 1.9);
      if (power > best_power) best_power = power, best = c;
    }
    EXPECT_NEAR(best, cents, 4);
  }
}

TEST(Sound, IsTheSameForTheSameSeedAndAnotherForAnotherVoice) {
  const auto played = one_note(60, 0);
  const auto a = render(played, *synthetic_string("violin", 0), "violin", 1);
  const auto b = render(played, *synthetic_string("violin", 0), "violin", 1);
  const auto c = render(played, *synthetic_string("violin", 1), "violin", 1);
  EXPECT_EQ(a.samples, b.samples);
  EXPECT_NE(a.samples, c.samples);
}

/// A3 to 1.2 s and B3 after it.
Performance two_notes() {
  auto played = one_note(57, 0);
  played.notes[0].offset = Seconds(1.2);
  auto second = played.notes[0];
  second.onset = Seconds(1.2);
  second.offset = Seconds(2);
  second.midi = 59;
  played.notes.push_back(second);
  return played;
}

TEST(Sound, ASlurIsOneStrokeWhosePitchGlides) {
  auto played = two_notes();
  played.notes[1].joined = true;
  const auto strokes = strokes_of(played);
  ASSERT_EQ(strokes.size(), 1u);
  const StrokeShape shape(strokes[0], Random(1));
  const double half_way = 220 * std::exp2(1.0 / 12);
  EXPECT_NEAR(1200 * std::log2(shape.hz(1.2) / half_way), 0, 12);
  EXPECT_GT(shape.level(1.2), 0.9);
}

TEST(Sound, ABowThatTurnsUnheardDipsWithoutASilenceAndGoesStraightToThePitch) {
  auto played = two_notes();
  played.notes[1].turn_db = 6;
  played.notes[1].swell_db = 8;
  const auto strokes = strokes_of(played);
  ASSERT_EQ(strokes.size(), 1u);
  const StrokeShape shape(strokes[0], Random(1));
  const auto db = [&](double s) { return 20 * std::log10(shape.level(s)); };
  EXPECT_NEAR(db(1.2) - db(1.1), -6, 0.5);
  EXPECT_NEAR(db(1.9) - db(1.3), 8 * 0.6 / 0.8, 0.5);
}

TEST(Sound, AnOpenStringRingsOnAfterTheBow) {
  auto stopped = one_note(57, 0);
  auto open = stopped;
  open.notes[0].open = true;
  const auto sound = synthetic_string("cello", 0);
  EXPECT_GT(level(render(open, *sound, "cello", 1), 2.15, 2.3),
            4 * level(render(stopped, *sound, "cello", 1), 2.15, 2.3));
}

}  // namespace
}  // namespace endpin::simulator
