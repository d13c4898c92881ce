#include <gtest/gtest.h>

#include "played.h"

namespace endpin::listen {
namespace {

const std::vector<int> melody{67, 69, 71, 72, 74, 71, 67, 69, 71, 67, 74, 76, 78, 79, 76, 74};
constexpr double quarter_s = 2.0 / 3;

NoteState state_where(int at, double sounding) {
  const Tune tune(melody);
  Recording r(0.5 + quarter_s * static_cast<double>(melody.size()) + 0.7);
  for (std::size_t i = 0; i < melody.size(); ++i) {
    r.add({0.5 + quarter_s * static_cast<double>(i), 0.92 * quarter_s,
           static_cast<int>(i) == at ? sounding : melody[i]});
  }
  const Hearing h = hear_one(tune, r);
  const NoteHearing& n = h.notes[static_cast<std::size_t>(at)];
  if (n.state == NoteState::wrong) {
    EXPECT_EQ(n.heard.value().midi, sounding);
  }
  return n.state;
}

// Every second partial of a harmonic tone is that of its octave: all partials of the upper tone
// belong to the lower one, the odd ones of the lower to it alone.
TEST(Octave, PlayedTooHighOrTooLowIsAWrongNote) {
  for (const int at : {3, 6, 11}) {
    const double written = melody[static_cast<std::size_t>(at)];
    EXPECT_EQ(state_where(at, written + 12), NoteState::wrong) << at;
    EXPECT_EQ(state_where(at, written - 12), NoteState::wrong) << at;
    EXPECT_EQ(state_where(at, written), NoteState::heard) << at;
  }
}

// A string whose second partial leads, as low strings through small microphones do: 12 dB of an
// octave above are added to what is written.
TEST(Octave, APartialThatLeadsIsNoOctave) {
  const Tune tune(melody);
  Recording r = play(tune, all_of(tune));
  for (const int at : {3, 6, 11}) {
    r.add(
        {0.5 + at * quarter_s, 0.92 * quarter_s, melody[static_cast<std::size_t>(at)] + 12.0, 0.8});
  }
  for (const NoteHearing& n : hear_one(tune, r).notes) {
    EXPECT_NE(n.state, NoteState::wrong) << n.index;
  }
}

}  // namespace
}  // namespace endpin::listen
