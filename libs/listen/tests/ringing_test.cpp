// Notes that begin while others sound on.
#include <numbers>

#include <gtest/gtest.h>

#include "align/observations.h"
#include "features/pitch_evidence.h"
#include "played.h"

namespace endpin::listen {
namespace {

TEST(PitchEvidence, SeesANoteRiseBesideALouderOneThatSoundsOn) {
  Recording r(3);
  r.add({0.2, 2.6, 62.0, 0.2}).add({1.5, 1.3, 69.0, 0.1});
  const SoundFeatures sound = sound_features(r.view(), {}, {});
  const PitchEvidence pitch(sound, 40, 96, 0);
  const auto at = [&](double s) { return static_cast<std::size_t>(s / sound.pitch_step_s()); };
  std::size_t top = at(1.2);
  for (std::size_t f = at(1.2); f < at(1.8); ++f) {
    if (pitch.rise(f, 69) > pitch.rise(top, 69)) top = f;
  }
  EXPECT_NEAR(static_cast<double>(top) * sound.pitch_step_s(), 1.5, 0.03);
  EXPECT_GT(pitch.rise(top, 69), 0.6F);
  EXPECT_LT(pitch.rise(at(1.0), 69), 0.1F);
}

// Every note within 50 ms of its time, the first at 0.5 s.
void expect_all_heard(const Hearing& h, double each_s) {
  ASSERT_EQ(h.status, HearingStatus::ok);
  for (const NoteHearing& n : h.notes) {
    ASSERT_TRUE(n.heard) << n.index;
    EXPECT_NEAR(n.heard->onset.value(), 0.5 + n.index * each_s, 0.05) << n.index;
  }
}

// A room of some 1.5 s: every note goes on softer, as loud together as what comes directly.
TEST(Hear, PlacesNotesThatBeginInTheRoomOfThoseBefore) {
  const std::vector<int> melody{67, 71, 69, 74, 72, 76, 71, 67, 69, 66, 67, 74};
  const Tune tune(melody);
  Recording r(10);
  for (std::size_t i = 0; i < melody.size(); ++i) {
    const double onset = 0.5 + static_cast<double>(i) * 2 / 3;
    r.add({onset, 0.63, static_cast<double>(melody[i])});
    for (int k = 0; k < 5; ++k) {  // 40 dB a second
      const double tail = 0.14 * std::pow(10.0, -0.3 * k);
      r.add({onset + 0.55 + 0.15 * k, 0.18, static_cast<double>(melody[i]), tail});
    }
  }
  expect_all_heard(hear_one(tune, r), 2.0 / 3);
}

/// White noise of `rms` between two times, as in a rest in which a gain control opens.
void add_noise(Recording& r, double from_s, double to_s, double rms_from, double rms_to) {
  std::uint32_t state = 7;
  const auto from = static_cast<std::size_t>(from_s * Recording::rate);
  const auto to = static_cast<std::size_t>(to_s * Recording::rate);
  for (std::size_t i = from; i < to && i < r.samples().size(); ++i) {
    state = state * 1664525U + 1013904223U;
    const double white = static_cast<double>(state >> 8U) / 8388608.0 - 1;  // of variance 1/3
    const double part = static_cast<double>(i - from) / static_cast<double>(to - from);
    r.samples()[i] += static_cast<float>(std::lerp(rms_from, rms_to, part) * std::sqrt(3) * white);
  }
}

// Property: white noise has no tone, however low the combs that are laid on it; a sound of ten
// harmonics 10 dB above it has.
TEST(Observations, TellATonesFrameFromNoise) {
  Recording r(4);
  r.add({2, 2, 33.0, 0.2});
  add_noise(r, 0, 4, 0.05, 0.05);
  const SoundFeatures sound = sound_features(r.view(), {.low_notes = true}, {});
  const PitchEvidence pitch(sound, 28, 60, 0);
  const Observations seen(sound, pitch);
  const auto mean_between = [&](double from_s, double to_s) {
    double sum = 0, frames = 0;
    for (double s = from_s; s < to_s; s += seen.step_s(), ++frames) {
      sum += static_cast<double>(seen.tonal(static_cast<std::size_t>(s / seen.step_s())));
    }
    return sum / frames;
  };
  EXPECT_LT(mean_between(0.2, 1.8), 0.1);
  EXPECT_GT(mean_between(2.2, 3.8), 0.9);
}

// A tone whose level swings by 5 dB each way, 5.5 times a second, is bowed; one that loses 40 dB a
// second rings.
TEST(Observations, TellAVibratosSwingsFromWhatRingsOn) {
  const auto ringing_share = [](const auto& db_at) {
    Recording r(3);
    r.add({0.2, 2.6, 69});
    for (std::size_t i = 0; i < r.samples().size(); ++i) {
      const double db = db_at(static_cast<double>(i) / Recording::rate);
      r.samples()[i] *= static_cast<float>(std::pow(10.0, db / 20));
    }
    const SoundFeatures sound = sound_features(r.view(), {}, {});
    const PitchEvidence pitch(sound, 50, 95, 0);
    const Observations seen(sound, pitch);
    double ringing = 0, frames = 0;
    for (double s = 1.3; s < 1.9; s += seen.step_s(), ++frames) {
      ringing += seen.ringing(static_cast<std::size_t>(s / seen.step_s()));
    }
    return ringing / frames;
  };
  const auto swings = [](double t) { return 5 * std::sin(2 * std::numbers::pi * 5.5 * t) - 5; };
  const auto dies = [](double t) { return t < 1.2 ? 0 : -40 * (t - 1.2); };
  EXPECT_LT(ringing_share(swings), 0.05);
  EXPECT_GT(ringing_share(dies), 0.9);
}

// Property: where nobody rests the softest playing is no rest: here it lies 16 dB below the
// loudest, and half of the frames lie there.
TEST(Observations, DoNotTakeSoftPlayingForARestWhereNobodyRests) {
  Recording r(11.06);
  for (int i = 0; i < 22; ++i) {
    const double level = i % 4 < 2 ? 0.2 : 0.032;
    r.add({0.02 + 0.5 * i, 0.53, 60.0 + (7 * i) % 12, level});
  }
  const SoundFeatures sound = sound_features(r.view(), {}, {});
  const PitchEvidence pitch(sound, 45, 90, 0);
  const Observations seen(sound, pitch);
  const auto at = [&](double s) { return static_cast<std::size_t>(s / seen.step_s()); };
  std::size_t quiet = 0;
  for (std::size_t f = at(0.1); f < at(10.9); ++f) quiet += seen.quiet(f);
  EXPECT_LT(quiet * 50, at(10.9) - at(0.1));
}

// A note stops early, a gain control lets the noise swell up to the tones' own loudness until the
// next begins at its time.
TEST(Hear, TakesNoLouderNoiseForALowNotesBeginning) {
  const std::vector<int> melody{33, 40, 38, 36, 33, 45, 43, 40, 38, 33, 36, 40};
  const Tune tune(melody, 60);
  Recording r(13);
  add_noise(r, 0, 13, 0.005, 0.005);
  for (std::size_t i = 0; i < melody.size(); ++i) {
    const double onset = 0.5 + static_cast<double>(i);
    const bool stops = i % 3 == 1;
    const double length = stops ? 0.7 : 0.95;
    r.add({onset, length, static_cast<double>(melody[i])});
    if (stops) add_noise(r, onset + length, onset + 1, 0.01, 0.15);
  }
  expect_all_heard(hear_one(tune, r), 1.0);
}

// A note grows for 0.4 s, evenly in decibels, out of the noise of the take.
TEST(Hear, PlacesASoftBeginningWhereTheToneStandsOutOfTheFloor) {
  const std::vector<int> melody{67, 71, 69, 74, 72, 76, 71, 67, 69, 66, 67, 74};
  const Tune tune(melody);
  constexpr double softest = 0.008, loudest = 0.2;
  constexpr int steps = 8;
  Recording r(9);
  add_noise(r, 0, 9, 0.01, 0.01);
  for (std::size_t i = 0; i < melody.size(); ++i) {
    const double onset = 0.5 + static_cast<double>(i) * 2 / 3;
    const double midi = melody[i];
    const bool grows = i % 4 == 2;
    r.add({onset, grows ? 0.62 : 0.5, midi, grows ? softest : loudest});
    for (int k = 1; grows && k <= steps; ++k) {
      const auto level = [&](int step) {
        return softest * std::pow(loudest / softest, static_cast<double>(step) / steps);
      };
      r.add({onset + 0.05 * k, 0.62 - 0.05 * k, midi, level(k) - level(k - 1)});
    }
  }
  expect_all_heard(hear_one(tune, r), 2.0 / 3);
}

// A tone that grows evenly by that many decibels in that time, then holds.
void add_growing(Recording& r, double onset_s, double length_s, double midi, double by_db,
                 double within_s) {
  constexpr double before_s = 0.03;  // in which the tone itself rises
  Recording tone(onset_s + length_s);
  tone.add({onset_s - before_s, length_s + before_s, midi});
  const auto from = static_cast<std::size_t>(onset_s * Recording::rate);
  for (std::size_t i = from; i < tone.samples().size(); ++i) {
    const double into_s = static_cast<double>(i - from) / Recording::rate;
    const double db = by_db * std::min(0.0, into_s / within_s - 1);
    r.samples()[i] += static_cast<float>(std::pow(10.0, db / 20)) * tone.samples()[i];
  }
}

// The beginning of a tone is heard where it is 6 to 15 dB below its full level (Vos & Rasch 1981,
// "The perceptual onset of musical tones").
TEST(Hear, PlacesASlowAttackNearItsFullLevel) {
  const Tune tune({67, 71, 69, 74, 72, 76, 71, 67});
  constexpr double each_s = 2.0 / 3, by_db = 26, within_s = 0.1;
  Recording r(7);
  for (const TimelineNote& n : tune.timeline.notes) {
    add_growing(r, 0.5 + n.index * each_s, each_s - 0.1, n.midi, by_db, within_s);
  }
  const Hearing h = hear_one(tune, r);
  ASSERT_EQ(h.status, HearingStatus::ok);
  for (const NoteHearing& n : h.notes) {
    ASSERT_TRUE(n.heard) << n.index;
    const double into_s = n.heard->onset.value() - (0.5 + n.index * each_s);
    const double below_db = by_db * (1 - into_s / within_s);
    EXPECT_LT(below_db, 15) << n.index;
    EXPECT_GT(below_db, 6) << n.index;
  }
}

TEST(Hear, GoesOnWhereItWasAfterABarThatIsNotWritten) {
  const Tune tune({67, 69, 71, 72, 74, 71, 67, 69, 71, 67, 74, 76, 78, 79, 76, 74});
  Tune longer({67, 69, 71, 72, 74, 71, 67, 69, 68, 75, 70, 63, 71, 67, 74, 76, 78, 79, 76, 74});
  const Hearing h = hear_one(tune, play(longer, all_of(longer)));
  ASSERT_EQ(h.status, HearingStatus::ok);
  for (const NoteHearing& n : h.notes) {
    ASSERT_TRUE(n.heard) << n.index;
    const int played = n.index < 8 ? n.index : n.index + 4;
    EXPECT_NEAR(n.heard->onset.value(), 0.5 + played * 2.0 / 3, 0.03) << n.index;
  }
}

}  // namespace
}  // namespace endpin::listen
