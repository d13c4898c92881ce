// Notes that were written and not played.
#include <algorithm>

#include <gtest/gtest.h>

#include "played.h"

namespace endpin::listen {
namespace {

const std::vector<int> melody{67, 69, 71, 72, 74, 71, 67, 69, 71, 67, 74, 76,
                              78, 79, 76, 74, 72, 76, 74, 67, 69, 72, 71, 67};
constexpr std::size_t place = 12;

// The melody, `each_s` a note, of which the first `share` sounds; from the thirteenth on `late_s`
// later.
Recording played(double each_s, double share, double late_s = 0) {
  Recording r(1.5 + each_s * static_cast<double>(melody.size()));
  for (std::size_t i = 0; i < melody.size(); ++i) {
    const double at_s = 0.5 + static_cast<double>(i) * each_s + (i < place ? 0 : late_s);
    r.add({at_s, share * each_s, static_cast<double>(melody[i])});
  }
  return r;
}

// Of a note that is written before the melody's thirteenth.
NoteState state_of_another(int midi, const Recording& r, double each_s) {
  auto written = melody;
  written.insert(written.begin() + place, midi);
  const Hearing h = hear_one(Tune(written, 60 / each_s), r);
  EXPECT_EQ(h.notes[place - 1].state, NoteState::heard);
  EXPECT_EQ(h.notes[place + 1].state, NoteState::heard);
  return h.notes[place].state;
}

// The search keeps a place of half its length for it, in which nothing sounds.
TEST(LeftOut, ANoteWithAnEmptyPlaceIsMissed) {
  for (const int midi : {65, 70, 81}) {
    EXPECT_EQ(state_of_another(midi, played(0.16, 0.8, 0.06), 0.16), NoteState::missed) << midi;
  }
}

// The note before is half a semitone low: it may hold a tone that was played for the other.
TEST(LeftOut, ANoteForWhichAnotherMayBePlayedIsNotMissed) {
  constexpr double each_s = 0.16, late_s = 0.06;
  const auto state_after = [&](double low) {
    Recording r = played(each_s, 0.8, late_s);
    const double at_s = 0.5 + (place - 1) * each_s, midi = melody[place - 1];
    const auto frame = [](double s) { return static_cast<std::ptrdiff_t>(s * Recording::rate); };
    std::fill(r.samples().begin() + frame(at_s), r.samples().begin() + frame(at_s + each_s), 0.0F);
    r.add({at_s, 0.8 * each_s, midi - low});
    return state_of_another(65, r, each_s);
  };
  EXPECT_EQ(state_after(0), NoteState::missed);
  EXPECT_EQ(state_after(0.43), NoteState::uncertain);
}

TEST(LeftOut, ANoteThatOnlyAnOpenStringRingsOfIsMissed) {
  constexpr double each_s = 0.16;
  Recording r = played(each_s, 0.95);
  r.add({0.2, 0.6 + each_s * static_cast<double>(melody.size()), 69, 0.03});
  EXPECT_EQ(state_of_another(69, r, each_s), NoteState::missed);
}

TEST(LeftOut, ANoteThatTheOneBeforeTheLastRingsOfIsMissed) {
  constexpr double each_s = 0.2;
  Recording r = played(each_s, 0.95);
  const int before = melody[place - 2];
  for (int k = 0; k < 6; ++k) {
    const double at_s = 0.5 + (place - 1.1) * each_s + 0.1 * k;
    r.add({at_s, 0.13, static_cast<double>(before), 0.1 * std::pow(10, -0.15 * k)});
  }
  EXPECT_EQ(state_of_another(before, r, each_s), NoteState::missed);
}

}  // namespace
}  // namespace endpin::listen
