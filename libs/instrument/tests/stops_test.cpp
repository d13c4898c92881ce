#include "endpin/instrument/stops.h"

#include <algorithm>

#include <gtest/gtest.h>

namespace endpin {
namespace {

const Instrument& cello = instrument(InstrumentKind::cello);
const Instrument& violin = instrument(InstrumentKind::violin);
const Instrument& bass = instrument(InstrumentKind::bass);

SpelledPitch p(const char* text) { return *SpelledPitch::parse(text); }

bool has(const std::vector<Stop>& list, int string, int finger, int hand) {
  return std::any_of(list.begin(), list.end(), [&](const Stop& s) {
    return s.string == string && s.finger == finger && s.hand == hand;
  });
}

// In G major on the cello, F♯3 is the third finger on the D string in first position (practice).
TEST(Stops, FSharpOnTheCello) {
  const auto stop = first_learnt_stop(cello, p("F#3"));
  ASSERT_TRUE(stop);
  EXPECT_EQ(stop->string, 2);
  EXPECT_EQ(stop->finger, 3);
  EXPECT_EQ(position_of(cello, stop->hand).key, "position.first");
}

// The cello's table of positions: the notes of fingers 1 and 4 on each string (calculated).
TEST(Stops, CelloPositionsHoldTheNotesOfTheTable) {
  struct Row {
    int first;
    const char* notes[4][2];  // A, D, G, C string: first and fourth finger
  };
  const Row table[] = {
      {1, {{"Bb3", "C#4"}, {"Eb3", "F#3"}, {"Ab2", "B2"}, {"Db2", "E2"}}},
      {2, {{"B3", "D4"}, {"E3", "G3"}, {"A2", "C3"}, {"D2", "F2"}}},
      {3, {{"C4", "Eb4"}, {"F3", "Ab3"}, {"Bb2", "Db3"}, {"Eb2", "Gb2"}}},
      {4, {{"C#4", "E4"}, {"F#3", "A3"}, {"B2", "D3"}, {"E2", "G2"}}},
      {5, {{"D4", "F4"}, {"G3", "Bb3"}, {"C3", "Eb3"}, {"F2", "Ab2"}}},
      {6, {{"Eb4", "F#4"}, {"Ab3", "B3"}, {"C#3", "E3"}, {"F#2", "A2"}}},
      {7, {{"E4", "G4"}, {"A3", "C4"}, {"D3", "F3"}, {"G2", "Bb2"}}},
  };
  const Reach& all = reach(cello, "thumb");
  for (const Row& row : table) {
    for (int string = 1; string <= 4; ++string) {
      const auto& [first, fourth] = row.notes[string - 1];
      EXPECT_TRUE(has(stops(cello, p(first), all), string, 1, row.first)) << first;
      EXPECT_TRUE(has(stops(cello, p(fourth), all), string, 4, row.first)) << fourth;
    }
  }
}

// First position of the cello: closed 2 3 4 5, backward 1 3 4 5, forward 2 4 5 6 (practice).
TEST(Stops, CelloFirstPositionAndItsExtensions) {
  const Reach& step = reach(cello, "extensions");
  const auto place = [&](int finger, Extension extension) {
    for (int n = 1; n <= 6; ++n) {
      for (const Stop& s : stops(cello, spell(p("D3").midi() + n, 0), step)) {
        if (s.string == 2 && s.finger == finger && s.hand == 2 && s.extension == extension)
          return n;
      }
    }
    return 0;
  };
  const int closed[] = {2, 3, 4, 5};
  const int backward[] = {1, 3, 4, 5};
  const int forward[] = {2, 4, 5, 6};
  for (int finger = 1; finger <= 4; ++finger) {
    EXPECT_EQ(place(finger, Extension::none), closed[finger - 1]);
    EXPECT_EQ(place(finger, Extension::backward), backward[finger - 1]);
    EXPECT_EQ(place(finger, Extension::forward), forward[finger - 1]);
  }
}

// Violin and viola, first position: low 1 +1, 1 +2, low 2 +3, high 2 +4, 3 +5, high 3 or low 4 +6,
// 4 +7, extended 4 +8 (practice).
TEST(Stops, ViolinFirstPosition) {
  struct Row {
    const char* note;  // on the D string
    int finger;
    FingerShape shape;
  };
  const Row table[] = {{"Eb4", 1, FingerShape::low},     {"E4", 1, FingerShape::plain},
                       {"F4", 2, FingerShape::low},      {"F#4", 2, FingerShape::high},
                       {"G4", 3, FingerShape::plain},    {"G#4", 3, FingerShape::high},
                       {"Ab4", 4, FingerShape::low},     {"A4", 4, FingerShape::plain},
                       {"Bb4", 4, FingerShape::extended}};
  for (const Row& row : table) {
    bool found = false;
    for (const Stop& s : stops(violin, p(row.note), reach(violin, "extensions"))) {
      if (s.string != 3 || s.finger != row.finger || s.hand != 1 || s.other_letter) continue;
      EXPECT_EQ(finger_shape(violin, s), row.shape) << row.note;
      found = true;
    }
    EXPECT_TRUE(found) << row.note;
  }
}

// Low 1 = +1 belongs to first position however it is spelled (practice); half position has its 1 at
// +1 too, but only a hand that stays there is called so.
TEST(Stops, ALowFirstFingerIsFirstPositionHoweverItIsSpelled) {
  for (const char* note : {"G#3", "Ab3"}) {
    for (const InstrumentKind kind : {InstrumentKind::violin, InstrumentKind::viola}) {
      const Instrument& which = instrument(kind);
      const auto stop = first_learnt_stop(which, p(note));
      ASSERT_TRUE(stop);
      EXPECT_EQ(stop->finger, 1);
      EXPECT_EQ(position_of(which, stop->hand).key, "position.first") << which.name << note;
      EXPECT_EQ(finger_shape(which, *stop), FingerShape::low);
      EXPECT_EQ(stop_with(which, p(note), stop->string, 1), stop);
    }
  }
}

// On the cello B flat 3 is the first finger stretched back in first position before it is half
// position; the bass, whose hand has no such stretch, goes to half position (practice).
TEST(Stops, TheCelloStretchesBackAndTheBassMoves) {
  const auto on_cello = first_learnt_stop(cello, p("Bb3"));
  ASSERT_TRUE(on_cello);
  EXPECT_EQ(on_cello->extension, Extension::backward);
  EXPECT_EQ(position_of(cello, on_cello->hand).key, "position.first");
  const auto on_bass = first_learnt_stop(bass, p("G#2"));
  ASSERT_TRUE(on_bass);
  EXPECT_EQ(position_of(bass, on_bass->hand).key, "position.half");
}

// The open string or the fourth finger is a choice on the violin; in first position on the cello it
// is none (practice).
TEST(Stops, OpenStringOrFourthFinger) {
  EXPECT_TRUE(has(stops(violin, p("A4"), reach(violin, "first-position")), 3, 4, 1));
  EXPECT_TRUE(has(stops(violin, p("A4"), reach(violin, "first-position")), 2, 0, 0));
  EXPECT_EQ(stops(cello, p("A3"), reach(cello, "first-position")).size(), 1u);
}

// In first position C♯3 (+6 on the G string) is out of a double bass's reach (practice).
TEST(Stops, CSharpAsksTheBassForAnotherPosition) {
  EXPECT_TRUE(stops(bass, p("C#3"), reach(bass, "first-position")).empty());
  EXPECT_TRUE(stops(bass, p("C#3"), reach(bass, "extensions")).empty());
  EXPECT_FALSE(stops(bass, p("C#3"), reach(bass, "lower-positions")).empty());
}

TEST(Stops, SoundThePitchTheyAreFor) {
  for (const InstrumentKind kind : all_instruments) {
    const Instrument& which = instrument(kind);
    for (int midi = which.lowest_midi(); midi <= which.highest_midi; ++midi) {
      const auto list = stops(which, spell(midi, 0), reach(which, "thumb"));
      EXPECT_FALSE(list.empty()) << which.name << " " << midi;
      for (const Stop& s : list) EXPECT_EQ(which.open(s.string).midi() + s.above_open, midi);
    }
  }
}

}  // namespace
}  // namespace endpin
