// Notes that begin together, or while another is held.
#include <gtest/gtest.h>

#include "played.h"

namespace endpin::listen {
namespace {

constexpr double quarter_s = 2.0 / 3, start_s = 0.5;
constexpr int first_of_chord = 4;

// Four quarters, a chord of four strings, four more.
Tune with_a_chord() {
  Tune tune({67, 69, 71, 74, 55, 66, 72, 79, 74, 71, 69, 67});
  auto& notes = tune.timeline.notes;
  for (int i = first_of_chord; i < static_cast<int>(notes.size()); ++i) {
    const int quarter = i < first_of_chord + 4 ? first_of_chord : i - 3;
    auto& note = notes[static_cast<std::size_t>(i)];
    note.onset = Beats(quarter);
    note.bar = std::to_string(quarter / 4 + 1);
  }
  return tune;
}

// The chord broken from below, as all chords of more than two strings are (common practice): its
// lower two notes come 0.1 s before the beat and are let go with it.
Recording broken(const Tune& tune, int left_out = -1) {
  constexpr double before_s = 0.1;
  Recording r(start_s + 9 * quarter_s + 0.7);
  for (const TimelineNote& n : tune.timeline.notes) {
    if (n.index == left_out) continue;
    const double beat = start_s + n.onset.to_double() * quarter_s;
    const bool early = n.index == first_of_chord || n.index == first_of_chord + 1;
    const double length = early ? before_s + 0.02 : 0.92 * quarter_s;
    r.add({early ? beat - before_s : beat, length, static_cast<double>(n.midi)});
  }
  return r;
}

TEST(Chord, ThatIsBrokenHasAllItsNotesHeard) {
  const Tune tune = with_a_chord();
  const Hearing hearing = hear_one(tune, broken(tune));
  for (const NoteHearing& n : hearing.notes) {
    EXPECT_EQ(n.state, NoteState::heard) << "note " << n.index;
  }
}

TEST(Chord, OfWhichANoteDidNotSoundLeavesThatUncertain) {
  const Tune tune = with_a_chord();
  const int second = first_of_chord + 1;
  const Hearing hearing = hear_one(tune, broken(tune, second));
  EXPECT_EQ(hearing.notes[second].state, NoteState::uncertain);
  EXPECT_EQ(hearing.notes[first_of_chord].state, NoteState::heard);
}

}  // namespace
}  // namespace endpin::listen
