#include <gtest/gtest.h>

#include "endpin/listen/apart.h"

#include "backing/loudspeaker.h"
#include "backing/other_clock.h"
#include "backing/place_backing.h"
#include "backing/short_time.h"
#include "backing/two_way_fft.h"
#include "backing/uncover.h"
#include "played.h"

namespace endpin::listen {
namespace {

const std::vector<int> melody{67, 69, 71, 72, 74, 71, 67, 69, 71, 67, 74, 76, 78, 79, 76, 74};
constexpr double each_s = 2.0 / 3;

// The melody, six cents higher than the player's (nobody plays with the waves of a play-along),
// with a bass a tenth below on every other note.
Recording play_along(const Tune& tune) {
  Recording r(1 + each_s * static_cast<double>(melody.size()) + 0.7);
  for (std::size_t i = 0; i < melody.size(); ++i) {
    r.add({1 + each_s * static_cast<double>(i), 0.92 * each_s, tune.timeline.notes[i].midi + 0.06});
  }
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

// The player's own sound: other partials, in phases of chance, begun up to 20 ms early or late.
Recording player(const Tune& tune, int count, double start_s) {
  Recording r(start_s + each_s * static_cast<double>(count) + 2);
  std::uint32_t chance = 7;
  const auto next = [&] { return (chance = chance * 1664525U + 1013904223U) >> 8U; };
  for (int i = 0; i < count; ++i) {
    const double hz =
        440 * std::exp2((tune.timeline.notes[static_cast<std::size_t>(i)].midi - 69) / 12.0);
    const double late_s = (next() % 401 - 200.0) / 10'000;
    const auto from = static_cast<std::size_t>((start_s + i * each_s + late_s) * Recording::rate);
    const auto length = static_cast<std::size_t>(0.9 * each_s * Recording::rate);
    for (int h = 1; h <= 12 && h * hz < 9000; ++h) {
      const double phase = next() % 6283 / 1000.0;
      for (std::size_t k = 0; k < length; ++k) {
        const double t = static_cast<double>(k) / Recording::rate;
        const double left = static_cast<double>(length - k) / Recording::rate;
        const double level = 0.2 * std::pow(h, -0.8) * std::min({1.0, t / 0.04, left / 0.04});
        r.samples()[from + k] +=
            static_cast<float>(level * std::sin(2 * std::numbers::pi * hz * h * t + phase));
      }
    }
  }
  return r;
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
  const auto sound = r.view().samples;
  std::vector<float> again(sound.size());
  ShortTime short_time;
  for (std::int64_t c = 0; c < static_cast<std::int64_t>(sound.size() + ShortTime::window);
       c += ShortTime::hop) {
    short_time.spectrum(reader_of(sound), c);
    short_time.add_to(again, c);
  }
  for (std::size_t i = 0; i < again.size(); i += 7) {
    ASSERT_NEAR(again[i], r.samples()[i], 2e-4) << i;
  }
}

// `sound` as a clock that goes faster by `ppm` plays it.
Recording by_clock(const Recording& sound, double ppm) {
  Recording r = sound;
  const DecimatedSound own(sound.view().samples, Recording::rate);
  OtherClock(own, 0, 1 + 1e-6 * ppm).read(0, r.samples());
  return r;
}

TEST(TwoWayFft, ComesBack) {
  TwoWayFft fft(64);
  std::vector<float> x(64), re(fft.bins()), im(fft.bins()), again(64);
  for (std::size_t i = 0; i < 64; ++i) x[i] = static_cast<float>((i * 37) % 17) - 8;
  fft.forward(x, re, im);
  fft.inverse(re, im, again);
  for (std::size_t i = 0; i < 64; ++i) EXPECT_NEAR(again[i], x[i], 1e-4);
}

// Reads as the whole does, over the blocks' edges and before the beginning.
TEST(BlockReader, ReadsWhatTheSoundHolds) {
  std::vector<float> sound(1000), piece(300), whole(300);
  for (std::size_t i = 0; i < sound.size(); ++i) sound[i] = static_cast<float>(i + 1);
  BlockReader blocks(128, reader_of(sound));
  for (const int from : {-200, -3, 0, 100, 127, 128, 800, 999, 500}) {
    blocks.read(from, piece);
    reader_of(sound)(from, whole);
    EXPECT_EQ(piece, whole) << from;
  }
}

TEST(OtherClock, ReadsASineAtAnotherRate) {
  std::vector<float> sine(24000), out(20000);
  const auto at = [](double s) { return std::sin(2 * std::numbers::pi * 3000 * s); };
  for (std::size_t i = 0; i < sine.size(); ++i) {
    sine[i] = static_cast<float>(at(static_cast<double>(i) / 24000));
  }
  const DecimatedSound sound(sine, 24000);
  OtherClock(sound, 0.01, 24000.0 / 22050).read(0, out);
  for (std::size_t i = 100; i < 20000; i += 7) {
    EXPECT_NEAR(out[i], at(0.01 + static_cast<double>(i) / 22050), 1e-3) << i;
  }
}

TEST(Backing, IsPlacedToAThousandthOfASecond) {
  const Tune tune(melody);
  const Recording backing = play_along(tune);
  for (const double at : {0.0, 1.234, 3.0}) {
    Recording r(18);
    add_through_room(r, backing, at, 0.3F);
    const auto found = place_backing(r.view(), {backing.view(), {}});
    ASSERT_TRUE(found) << at;
    EXPECT_NEAR(found->at.value(), at, 0.001);
  }
}

TEST(Backing, IsPlacedBeneathAPlayerInUnisonWhoIsLouderByTwentyDecibels) {
  const Tune tune(melody);
  const Recording backing = play_along(tune);
  Recording r = player(tune, 16, 1.81);
  add_through_room(r, backing, 0.8, 0.1F);
  const auto found = place_backing(r.view(), {backing.view(), {}});
  ASSERT_TRUE(found);
  EXPECT_NEAR(found->at.value(), 0.8, 0.001);
  // A place that is given is a help, not a law.
  const auto near = place_backing(r.view(), {backing.view(), Seconds(0.6)});
  ASSERT_TRUE(near);
  EXPECT_NEAR(near->at.value(), 0.8, 0.001);
}

Loudspeaker::HeldOut held_out(const Recording& r, const Recording& backing) {
  Loudspeaker loudspeaker({reader_of(r.view().samples), reader_of(backing.view().samples),
                           std::ssize(r.view().samples), Recording::rate});
  return loudspeaker.held_out().value();
}

// Of a filter that was learnt from noise or a player, the other half says nothing: errors add.
TEST(Backing, ExplainsTheOtherHalfOnlyWhereItSounds) {
  const Tune tune(melody);
  const Recording backing = play_along(tune);
  const Recording alone = player(tune, 16, 1.03);
  const auto without = held_out(alone, backing);
  EXPECT_LT(without.explained, 0.3);
  EXPECT_LT(without.gain, 0);
  Recording r = alone;
  add_through_room(r, backing, 0, 0.1F);
  const auto with = held_out(r, backing);
  EXPECT_GT(with.explained, 0.9);
  EXPECT_GT(with.gain, 0);
  EXPECT_NEAR(with.first_s, 0, 0.001);
}

// The loudest reflection comes 30 ms late; what was placed there arrives that much earlier.
TEST(Backing, ArrivesFirstWhereItIsSofterThanAReflection) {
  const Tune tune(melody);
  const Recording backing = play_along(tune);
  Recording r(13);
  add_through_room(r, backing, 0.97, 0.5F);
  add_through_room(r, backing, 1, 1);
  const auto found = place_backing(r.view(), {backing.view(), {}});
  ASSERT_TRUE(found);
  EXPECT_NEAR(found->at.value(), 0.97, 0.001);
}

TEST(Backing, IsFollowedByAnotherClock) {
  const Tune tune(melody);
  const Recording backing = play_along(tune);
  for (const double ppm : {-100.0, 70.0}) {
    Recording r(14);
    add_through_room(r, by_clock(backing, ppm), 1.5, 0.3F);
    const auto found = place_backing(r.view(), {backing.view(), {}});
    ASSERT_TRUE(found) << ppm;
    EXPECT_NEAR(found->at.value(), 1.5, 0.001);
    EXPECT_NEAR(1e6 * (found->rate - 1), ppm, 4);
  }
}

TEST(Backing, IsNotFoundWhereItIsNotToBeHeard) {
  const Tune tune(melody), other({64, 62, 60, 67, 65, 72, 64, 60});
  const Recording r = play(other, all_of(other), 0.47, 0.5);
  EXPECT_FALSE(place_backing(r.view(), {play_along(tune).view(), {}}));
}

TEST(Backing, OverHeadphonesChangesNothing) {
  const Tune tune(melody);
  const Recording backing = play_along(tune);
  const Recording r = player(tune, 16, 1.83);
  EXPECT_FALSE(place_backing(r.view(), {backing.view(), {}}));
  const Hearing with = hear_one(tune, r, beside(backing)), without = hear_one(tune, r);
  for (std::size_t i = 0; i < melody.size(); ++i) {
    EXPECT_EQ(with.notes[i].state, without.notes[i].state);
    EXPECT_EQ(with.notes[i].heard->onset, without.notes[i].heard->onset);
  }
}

// A loudspeaker and a room are a linear filter; the player beside them is in unison and louder.
TEST(Backing, ArrivesAsTheRoomMadeIt) {
  const Tune tune(melody);
  const Recording backing = play_along(tune);
  Recording room(13), r = player(tune, 16, 1.03);
  std::fill(room.samples().begin(), room.samples().end(), 0.0F);
  room.samples().resize(r.samples().size());
  add_through_room(room, backing, 0, 0.3F);
  for (std::size_t i = 0; i < r.samples().size(); ++i) r.samples()[i] += room.samples()[i];
  Loudspeaker loudspeaker({reader_of(r.samples()), reader_of(backing.view().samples),
                           std::ssize(r.samples()), Recording::rate});
  loudspeaker.estimate();
  std::vector<float> found(r.samples().size());
  loudspeaker.arriving(0, found);
  double error = 0, all = 0;
  for (std::size_t i = 0; i < found.size(); ++i) {
    const double is = static_cast<double>(room.samples()[i]);
    error += (is - static_cast<double>(found[i])) * (is - static_cast<double>(found[i]));
    all += is * is;
  }
  EXPECT_LT(10 * std::log10(error / all), -12);
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
  Recording r = player(tune, 16, 1.83);
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
  Recording r = player(tune, 8, 1.8);
  r.samples().resize(static_cast<std::size_t>(14 * Recording::rate));
  add_through_room(r, backing, 0.8, 0.3F);
  const Hearing h = hear_one(tune, r, beside(backing));
  for (int i = 9; i < 16; ++i) {
    EXPECT_NE(h.notes[static_cast<std::size_t>(i)].state, NoteState::heard) << i;
  }
  EXPECT_GE(count(h, NoteState::heard), 7);
}

void add(Recording& r, const Recording& sound) {
  for (std::size_t i = 0; i < std::min(r.samples().size(), sound.view().samples.size()); ++i) {
    r.samples()[i] += sound.view().samples[i];
  }
}

// A scale by itself, then half of the piece beside its play-along, which goes on to the end.
TEST(Backing, OfOneItemOfSeveralIsPlacedInTheWholeRecording) {
  const Tune scale({55, 57, 59, 60, 62, 64, 66, 67}), tune(melody);
  const std::vector<Timeline> items{tune.timeline, scale.timeline};
  const Recording backing = play_along(tune);
  Recording r(22);
  add(r, player(scale, 8, 1));
  add(r, player(tune, 8, 10.03));
  add_through_room(r, backing, 9, 0.3F);
  for (const auto at : {std::optional<Seconds>(), std::optional(Seconds(9))}) {
    HearOptions options;
    options.backing = Backing{backing.view(), at};
    const auto found = hear_apart(items, r.view(), options);
    ASSERT_EQ(found.size(), 2U);
    const Hearing &piece = found[0].hearing, &first = found[1].hearing;
    ASSERT_TRUE(piece.backing_at);
    EXPECT_NEAR(piece.backing_at->value(), 9, 0.001);
    EXPECT_EQ(piece.recording.length, r.view().length());
    EXPECT_GE(count(piece, NoteState::heard), 7);
    // The last may end where only the room's noise is left.
    for (int i = 9; i < 15; ++i) {
      EXPECT_NE(piece.notes[static_cast<std::size_t>(i)].state, NoteState::heard) << i;
    }
    EXPECT_FALSE(first.backing_at);
    EXPECT_EQ(first.status, HearingStatus::ok);
    EXPECT_EQ(count(first, NoteState::heard), 8);
  }
}

// `count` clicks that are all alike, the first after 0.3 s.
Recording clicking(int count) {
  Recording clicks(1 + count * each_s);
  for (int i = 0; i < count; ++i) {
    const auto from = static_cast<std::size_t>((0.3 + i * each_s) * Recording::rate);
    for (std::size_t k = 0; k < 900; ++k) {
      const double t = static_cast<double>(k) / Recording::rate;
      clicks.samples()[from + k] += static_cast<float>(0.4 * std::exp(-t / 0.008) *
                                                       std::sin(2 * std::numbers::pi * 1500 * t));
    }
  }
  return clicks;
}

TEST(Backing, OfClicksIsPlacedByItsFirstAndItsLast) {
  const Tune tune(melody);
  const Recording clicks = clicking(18);
  Recording r(20);
  add_through_room(r, clicks, 4.2, 0.5F);
  const Recording student = player(tune, 16, 4.5 + 2 * each_s);
  for (std::size_t i = 0; i < student.view().samples.size(); ++i) {
    r.samples()[i] += student.view().samples[i];
  }
  const auto found = place_backing(r.view(), {clicks.view(), {}});
  ASSERT_TRUE(found);
  EXPECT_NEAR(found->at.value(), 4.2, 0.001);
}

TEST(Backing, OfClicksLeavesEveryNoteOfThePlayer) {
  const Tune tune(melody);
  const Recording clicks = clicking(18);
  Recording r = play(tune, all_of(tune), each_s, 0.3 + 2 * each_s);
  add_through_room(r, clicks, 0, 0.5F);
  const Hearing h = hear_one(tune, r, beside(clicks));
  ASSERT_EQ(h.status, HearingStatus::ok);
  EXPECT_EQ(count(h, NoteState::heard), 16);
}

}  // namespace
}  // namespace endpin::listen
