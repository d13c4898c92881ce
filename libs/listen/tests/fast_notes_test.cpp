#include <gtest/gtest.h>

#include "played.h"

/// Notes hardly longer than the analysis window, at the speed of sixteenths at 90.
namespace endpin::listen {
namespace {

const std::vector<int> passage{62, 66, 69, 74, 73, 69, 64, 67, 71, 76, 74, 71, 66, 69, 74, 78,
                               76, 73, 69, 67, 71, 74, 79, 78, 74, 69, 66, 64, 67, 73, 69, 62};
constexpr double each_s = 1.0 / 6;

TEST(FastNotes, AnotherToneIsHeardInOnesPlace) {
  const Tune tune(passage, 360);
  for (const int at : {5, 13, 22}) {
    for (const int by : {-2, 1, 3}) {
      Tune other(passage, 360);
      other.timeline.notes[static_cast<std::size_t>(at)].midi += by;
      const Hearing h = hear_one(tune, play(other, all_of(other), each_s));
      const NoteHearing& n = h.notes[static_cast<std::size_t>(at)];
      EXPECT_EQ(n.state, NoteState::wrong) << at << by;
      ASSERT_TRUE(n.heard);
      EXPECT_EQ(n.heard->midi, n.midi + by) << at << by;
    }
  }
}

TEST(FastNotes, OneLeftOutIsMissed) {
  const Tune tune(passage, 360);
  for (const int at : {5, 13, 22, 26}) {
    std::vector<int> order = all_of(tune);
    order.erase(order.begin() + at);
    const Hearing h = hear_one(tune, play(tune, order, each_s));
    for (const NoteHearing& n : h.notes) {
      EXPECT_EQ(n.state, n.index == at ? NoteState::missed : NoteState::heard) << at << n.index;
    }
  }
}

// A right note above another instrument's that has all its partials: nobody is accused.
TEST(FastNotes, AnOctaveBelowFromElsewhereIsNoWrongNote) {
  const Tune tune(passage, 360);
  for (const int below : {12, 24}) {
    Recording r = play(tune, all_of(tune), each_s);
    for (const int at : {3, 9, 15, 22, 28}) {
      const auto index = static_cast<std::size_t>(at);
      r.add({0.5 + at * each_s, each_s, static_cast<double>(passage[index] - below), 0.1});
    }
    for (const NoteHearing& n : hear_one(tune, r).notes) {
      EXPECT_NE(n.state, NoteState::wrong) << below << ' ' << n.index;
      EXPECT_NE(n.state, NoteState::missed) << below << ' ' << n.index;
    }
  }
}

TEST(FastNotes, TheToneBeforeOnceMoreIsExtra) {
  const Tune tune(passage, 360);
  std::vector<int> order = all_of(tune);
  order.insert(order.begin() + 14, 12);
  const Hearing h = hear_one(tune, play(tune, order, each_s));
  ASSERT_EQ(h.extra.size(), 1U);
  EXPECT_EQ(h.extra[0].midi, passage[12]);
  EXPECT_EQ(h.extra[0].after_index, 13);
  for (const NoteHearing& n : h.notes) EXPECT_EQ(n.state, NoteState::heard) << n.index;
}

TEST(FastNotes, APassageThatTheScoreLacksIsExtraToneByTone) {
  const std::vector<int> foreign{60, 63, 68, 65, 61, 70, 72, 68};
  std::vector<int> played = passage;
  played.insert(played.begin() + 16, foreign.begin(), foreign.end());
  const Tune tune(passage, 360), sounding(played, 360);
  const Hearing h = hear_one(tune, play(sounding, all_of(sounding), each_s));
  EXPECT_GE(h.extra.size(), foreign.size() - 2);
  for (const ExtraNote& e : h.extra) EXPECT_EQ(e.after_index, 15);
  for (const NoteHearing& n : h.notes) EXPECT_EQ(n.state, NoteState::heard) << n.index;
}

}  // namespace
}  // namespace endpin::listen
