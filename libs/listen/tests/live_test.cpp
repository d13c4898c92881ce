#include "endpin/listen/live.h"

#include <algorithm>
#include <cstdlib>
#include <new>

#include <gtest/gtest.h>

#include "features/pitch_comb.h"
#include "played.h"

namespace {
long allocations = 0;
}

// Counts what this program allocates, to hold the follower to its promise.
void* operator new(std::size_t bytes, const std::nothrow_t&) noexcept {
  ++allocations;
  return std::malloc(bytes ? bytes : 1);
}
void* operator new(std::size_t bytes) {
  if (void* memory = operator new(bytes, std::nothrow)) return memory;
  throw std::bad_alloc();
}
void operator delete(void* memory) noexcept { std::free(memory); }
void operator delete(void* memory, std::size_t) noexcept { std::free(memory); }

namespace endpin::listen {
namespace {

const std::vector<int> melody{67, 69, 71, 72, 74, 71, 67, 69, 71, 67, 74, 76, 78, 79, 76, 74};
constexpr std::size_t block = 128;  // of an audio thread

// Places as they were known while the sound came in: [block].
std::vector<LivePlace> follow(LiveFollower& follower, const Recording& r) {
  std::vector<LivePlace> places;
  const auto samples = r.view().samples;
  for (std::size_t at = 0; at < samples.size(); at += block) {
    follower.take(samples.subspan(at, std::min(block, samples.size() - at)));
    places.push_back(follower.place());
  }
  return places;
}

double seconds_of(std::size_t place) {
  return static_cast<double>((place + 1) * block) / Recording::rate;
}

// From when on the note was known, in seconds after `from_s`.
double known_after(const std::vector<LivePlace>& places, int index, double from_s) {
  for (std::size_t i = 0; i < places.size(); ++i) {
    if (seconds_of(i) >= from_s && places[i].index == index) return seconds_of(i) - from_s;
  }
  return 99;
}

TEST(LiveFollower, KnowsEachNoteWithinAnEighthOfASecond) {
  const Tune tune(melody);
  LiveFollower follower(tune.timeline, Recording::rate);
  const auto places = follow(follower, play(tune, all_of(tune)));
  for (const TimelineNote& n : tune.timeline.notes) {
    EXPECT_LT(known_after(places, n.index, 0.5 + n.index * 2.0 / 3), 0.125) << n.index;
  }
  EXPECT_EQ(places.back().jumps, 0);
  EXPECT_NEAR(places[places.size() - 200].quarters_a_minute.value_or(0), 90, 5);
}

TEST(LiveFollower, FollowsARestartWithinASecond) {
  const Tune tune(melody);
  LiveFollower follower(tune.timeline, Recording::rate);
  const auto places = follow(
      follower, play(tune, {0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13}));
  const double jump_s = 0.5 + 10 * 2.0 / 3;
  double known_s = 99;
  for (int i = 4; i <= 6; ++i) known_s = std::min(known_s, known_after(places, i, jump_s));
  EXPECT_LT(known_s, 1.0);
  EXPECT_EQ(places.back().jumps, 1);
  EXPECT_EQ(places.back().index, 13);
}

TEST(LiveFollower, KnowsNoPlaceInSilence) {
  const Tune tune(melody);
  LiveFollower follower(tune.timeline, Recording::rate);
  for (const LivePlace& p : follow(follower, Recording(4))) EXPECT_EQ(p.index, -1);
}

TEST(LiveFollower, DoesNotMindHowTheSoundIsCut) {
  const Tune tune(melody);
  const Recording r = play(tune, all_of(tune));
  LiveFollower small(tune.timeline, Recording::rate), large(tune.timeline, Recording::rate);
  follow(small, r);
  large.take(r.view().samples);
  EXPECT_EQ(small.place().index, large.place().index);
  EXPECT_EQ(small.place().onset.value(), large.place().onset.value());
  EXPECT_EQ(small.place().confidence, large.place().confidence);
}

TEST(LiveFollower, AllocatesNothingAfterConstruction) {
  const Tune tune(melody);
  const Recording r = play(tune, all_of(tune));
  LiveFollower follower(tune.timeline, Recording::rate);
  const auto samples = r.view().samples;
  const long before = allocations;
  for (std::size_t at = 0; at + block <= samples.size(); at += block) {
    follower.take(samples.subspan(at, block));
  }
  EXPECT_EQ(allocations, before);
  EXPECT_GE(follower.place().index, 14);
}

// Tones that no string has, and the widest score there is.
TEST(LiveFollower, StandsAnyScore) {
  const Recording r = play(Tune(melody), all_of(Tune(melody)));
  for (const auto& midi : std::vector<std::vector<int>>{{0, 1, 0, 2}, {127, 126}, {0, 127, 0}}) {
    const Tune tune(midi);
    LiveFollower follower(tune.timeline, Recording::rate);
    follower.take(r.view().samples);
    EXPECT_LT(follower.place().index, static_cast<int>(midi.size()));
    EXPECT_GT(follower.place().heard.value(), 10);
  }
}

TEST(PitchComb, HasARangeAroundEveryScore) {
  for (int lowest = 0; lowest <= 127; ++lowest) {
    for (int highest = lowest; highest <= 127; ++highest) {
      const CombRange range = comb_range(lowest, highest);
      ASSERT_LE(range.lowest, range.highest) << lowest << " to " << highest;
      if (lowest < 35) continue;
      EXPECT_EQ(range.lowest, lowest - 13);
      EXPECT_EQ(range.highest, highest + 13);
    }
  }
}

TEST(LiveFollower, StandsAnySamples) {
  const Tune tune(melody);
  for (const float value : {std::numeric_limits<float>::quiet_NaN(),
                            std::numeric_limits<float>::infinity(), 1.0F, -1e30F}) {
    LiveFollower follower(tune.timeline, 48000);
    const std::vector<float> samples(48000, value);
    follower.take(samples);
    EXPECT_EQ(follower.place().index, -1) << value;
  }
}

}  // namespace
}  // namespace endpin::listen
