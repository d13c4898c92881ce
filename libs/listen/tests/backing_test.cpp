#include <gtest/gtest.h>

#include "backing/place_backing.h"
#include "backing/short_time.h"
#include "backing/uncover.h"
#include "played.h"

namespace endpin::listen {
namespace {

const std::vector<int> melody{67, 69, 71, 72, 74, 71, 67, 69, 71, 67, 74, 76, 78, 79, 76, 74};
constexpr double each_s = 2.0 / 3;

// The melody with a bass a tenth below on every other note: what a play-along holds.
Recording play_along(const Tune& tune) {
  Recording r = play(tune, all_of(tune), each_s, 1);
  for (std::size_t i = 0; i < melody.size(); i += 2) {
    r.add({1 + each_s * static_cast<double>(i), 1.9 * each_s, melody[i] - 16.0});
  }
  return r;
}

// `sound` through a loudspeaker and a small room (two reflections), `at_s` into the recording.
void add_through_room(Recording& r, const Recording& sound, double at_s, float gain) {
  const std::pair<double, float> ways[] = {{0, 1.0F}, {0.013, 0.4F}, {0.037, 0.25F}};
  const auto from = sound.view().samples;
  for (const auto& [late_s, share] : ways) {
    const auto at = static_cast<std::size_t>((at_s + late_s) * Recording::rate);
    for (std::size_t i = 0; i < from.size() && at + i < r.samples().size(); ++i) {
      r.samples()[at + i] += gain * share * from[i];
    }
  }
}

HearOptions beside(const Recording& backing) {
  HearOptions options;
  options.backing = Backing{backing.view(), {}};
  return options;
}

int count(const Hearing& h, NoteState state) {
  int n = 0;
  for (const NoteHearing& note : h.notes) n += note.state == state;
  return n;
}

TEST(ShortTime, PutsTogetherWhatItTookApart) {
  Recording r(1);
  r.add({0.1, 0.8, 64});
  const DecimatedSound sound(r.view().samples, Recording::rate);
  std::vector<float> again(sound.size());
  ShortTime short_time;
  for (std::int64_t c = 0; c < static_cast<std::int64_t>(sound.size() + ShortTime::window);
       c += ShortTime::hop) {
    short_time.spectrum(sound, c);
    short_time.add_to(again, c);
  }
  for (std::size_t i = 0; i < again.size(); i += 7) {
    ASSERT_NEAR(again[i], r.samples()[i], 2e-4) << i;
  }
}

TEST(Backing, IsPlacedToAHundredthOfASecond) {
  const Tune tune(melody);
  const Recording backing = play_along(tune);
  for (const double at : {0.0, 1.234, 3.0}) {
    Recording r(18);
    add_through_room(r, backing, at, 0.3F);
    const auto found = place_backing(r.view(), {backing.view(), {}});
    ASSERT_TRUE(found) << at;
    EXPECT_NEAR(found->value(), at, 0.01);
  }
}

TEST(Backing, IsNotFoundWhereItIsNotToBeHeard) {
  const Tune tune(melody), other({64, 62, 60, 67, 65, 72, 64, 60});
  const Recording r = play(other, all_of(other), 0.47, 0.5);
  EXPECT_FALSE(place_backing(r.view(), {play_along(tune).view(), {}}));
}

TEST(Backing, AloneIsNobodyPlaying) {
  const Tune tune(melody);
  const Recording backing = play_along(tune);
  Recording r(15);
  add_through_room(r, backing, 0.8, 0.5F);
  const Hearing h = hear_one(tune, r, beside(backing));
  EXPECT_NE(h.status, HearingStatus::ok);
  EXPECT_EQ(count(h, NoteState::heard), 0);
  ASSERT_TRUE(h.backing_at);
  EXPECT_NEAR(h.backing_at->value(), 0.8, 0.02);
  EXPECT_EQ(hear_one(tune, r).status, HearingStatus::ok);  // without it the model is heard
}

TEST(Backing, LeavesThePlayerWhoPlaysBesideIt) {
  const Tune tune(melody);
  const Recording backing = play_along(tune);
  Recording r = play(tune, all_of(tune), each_s, 1.83);
  add_through_room(r, backing, 0.8, 0.3F);
  const Hearing h = hear_one(tune, r, beside(backing));
  ASSERT_EQ(h.status, HearingStatus::ok);
  EXPECT_GE(count(h, NoteState::heard), 15);
  EXPECT_EQ(count(h, NoteState::wrong) + count(h, NoteState::missed), 0);
  for (const NoteHearing& n : h.notes) {
    if (!n.heard) continue;
    EXPECT_NEAR(n.heard->onset.value(), 1.83 + n.index * each_s, 0.05) << n.index;
  }
}

TEST(Backing, IsNotHeardForThePlayerWhoStopsEarly) {
  const Tune tune(melody);
  const Recording backing = play_along(tune);
  Recording r(14);
  for (int i = 0; i < 8; ++i) {
    r.add({1.8 + i * each_s, 0.6, static_cast<double>(melody[static_cast<std::size_t>(i)])});
  }
  add_through_room(r, backing, 0.8, 0.3F);
  const Hearing h = hear_one(tune, r, beside(backing));
  for (int i = 9; i < 16; ++i) {
    EXPECT_NE(h.notes[static_cast<std::size_t>(i)].state, NoteState::heard) << i;
  }
  EXPECT_GE(count(h, NoteState::heard), 7);
}

TEST(Backing, OfClicksLeavesEveryNoteOfThePlayer) {
  const Tune tune(melody);
  Recording clicks(13);
  for (int i = 0; i < 18; ++i) {
    const auto from = static_cast<std::size_t>((0.3 + i * each_s) * Recording::rate);
    for (std::size_t k = 0; k < 900; ++k) {
      const double t = static_cast<double>(k) / Recording::rate;
      clicks.samples()[from + k] += static_cast<float>(0.4 * std::exp(-t / 0.008) *
                                                       std::sin(2 * std::numbers::pi * 1500 * t));
    }
  }
  Recording r = play(tune, all_of(tune), each_s, 0.3 + 2 * each_s);
  add_through_room(r, clicks, 0, 0.5F);
  const Hearing h = hear_one(tune, r, beside(clicks));
  ASSERT_EQ(h.status, HearingStatus::ok);
  EXPECT_EQ(count(h, NoteState::heard), 16);
}

}  // namespace
}  // namespace endpin::listen
