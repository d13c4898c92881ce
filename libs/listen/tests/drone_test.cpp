// A melody over an open string that is bowed with it, as it is written.
#include <gtest/gtest.h>

#include "endpin/listen/findings.h"

#include "played.h"

namespace endpin::listen {
namespace {

constexpr double each_s = 0.6;
constexpr int drone = 62;

// Quarters, beneath which the drone is held for so many, over and over.
Tune over_drone(const std::vector<int>& melody, int held) {
  Tune tune(melody, 60 / each_s);
  std::vector<TimelineNote> notes;
  for (const TimelineNote& n : tune.timeline.notes) {
    if (n.index % held == 0) {
      TimelineNote low = n;
      low.id = "d" + std::to_string(n.index);
      low.duration = Beats(held);
      low.midi = drone;
      low.spelled = spell(drone, 1);
      notes.push_back(low);
    }
    notes.push_back(n);
  }
  for (std::size_t i = 0; i < notes.size(); ++i) notes[i].index = static_cast<int>(i);
  tune.timeline.notes = notes;
  return tune;
}

Recording recording_of(const Tune& tune, double drone_level, float noise) {
  const TimelineNote& last = tune.timeline.notes.back();
  Recording r(1.5 + each_s * (last.onset + last.duration).to_double());
  for (const TimelineNote& n : tune.timeline.notes) {
    const bool low = n.midi == drone && n.id[0] == 'd';
    r.add({0.5 + each_s * n.onset.to_double(), each_s * n.duration.to_double() - 0.04,
           static_cast<double>(n.midi), low ? drone_level : 0.2});
  }
  return r.add_noise(noise);
}

TEST(Drone, AMelodyOverAnOpenStringIsFollowed) {
  const std::vector<std::vector<int>> melodies{
      {69, 71, 73, 74, 73, 71, 69, 69, 74, 73, 71, 69, 71, 73, 74, 74,
       69, 69, 71, 69, 66, 69, 74, 69, 71, 69, 67, 66, 69, 69, 74, 74},
      {74, 76, 78, 74, 69, 69, 69, 71, 73, 74, 69, 66, 67, 69, 71, 69,
       74, 74, 69, 69, 71, 71, 69, 69, 67, 67, 66, 66, 64, 64, 66, 66},
      {69, 69, 69, 69, 71, 71, 69, 69, 69, 69, 74, 74, 69, 69, 69, 69,
       73, 73, 69, 69, 71, 71, 69, 69, 69, 69, 66, 66, 69, 69, 69, 69}};
  for (std::size_t m = 0; m < melodies.size(); ++m) {
    for (const int held : {4, 2, 1}) {
      // Where it is as loud as the melody it hides notes; nothing is said of those.
      for (const double level : {0.1, 0.2, 0.3}) {
        const Tune tune = over_drone(melodies[m], held);
        const Hearing h = hear_one(tune, recording_of(tune, level, 0.002F));
        for (const NoteHearing& n : h.notes) {
          if (level < 0.2) {
            EXPECT_EQ(n.state, NoteState::heard) << m << ", " << held << ": " << n.index;
          }
        }
        EXPECT_TRUE(work(findings(h, tune.timeline)).empty()) << m << ", " << held << ": " << level;
      }
    }
  }
}

}  // namespace
}  // namespace endpin::listen
