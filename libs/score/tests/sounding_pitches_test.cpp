#include <gtest/gtest.h>

#include "made.h"

namespace endpin {
namespace {

using test::bars;
using test::quarter;

std::vector<int> pitches(const Part& part) {
  Score score;
  score.parts = {part};
  std::vector<int> midi;
  const auto played = timeline(score, 0, "violin");
  for (const TimelineNote& note : played->notes) midi.push_back(note.midi);
  return midi;
}

Part harmonic(std::string_view base, std::string_view touched) {
  Part part = bars(1);
  Note low = quarter(base, Beats(0));
  Note high = quarter(touched, Beats(0));
  high.in_chord = true;
  low.artificial_harmonic = high.artificial_harmonic = true;
  low.harmonic_place = HarmonicPlace::base;
  high.harmonic_place = HarmonicPlace::touching;
  part.bars[0].notes = {low, high};
  return part;
}

// The n-th partial has its first node at 1/n of the string: an octave above the stopped note for
// 1/2, a fifth for 1/3, a fourth for 1/4, a major third for 1/5 (and a major sixth for 2/5), a
// minor third for 1/6; it sounds 12, 19, 24, 28 and 31 semitones above (harmonic series).
TEST(StoppedHarmonic, SoundsThePartialWhoseNodeIsTouched) {
  const std::vector<std::pair<std::string, int>> touched{{"A4", 69},  {"E4", 76},  {"D4", 81},
                                                         {"C#4", 85}, {"F#4", 85}, {"C4", 88}};
  for (const auto& [place, sounds] : touched) {
    EXPECT_EQ(pitches(harmonic("A3", place)), std::vector{sounds}) << place;
  }
}

TEST(StoppedHarmonic, IsOneNoteAlsoWhereTheFileDoesNotSayWhichHeadIsTouched) {
  Part part = harmonic("B3", "E4");
  for (Note& note : part.bars[0].notes) note.harmonic_place = HarmonicPlace::unsaid;
  EXPECT_EQ(pitches(part), std::vector{59 + 24});
}

TEST(StoppedHarmonic, TakesTheHeadThatShowsWhatSounds) {
  Part part = harmonic("A3", "D4");
  Note sound = quarter("A5", Beats(0));
  sound.in_chord = sound.artificial_harmonic = true;
  sound.harmonic_place = HarmonicPlace::sounding;
  part.bars[0].notes.push_back(sound);
  EXPECT_EQ(pitches(part), std::vector{81});
}

TEST(StoppedHarmonic, WithoutALowPartialStaysAsWritten) {
  EXPECT_EQ(pitches(harmonic("A3", "B3")), (std::vector{57, 59}));
}

TEST(Transposition, ChangesWhereThePartSaysSo) {
  Part part = bars(3);
  part.transpose = {-1, -2, 0};
  Change change;
  change.kind = ChangeKind::transposition;
  change.transpose = {-2, -3, 0};
  part.bars[1].changes.push_back(change);
  part.bars[1].notes.push_back(quarter("D3", Beats(1)));
  change.at = Beats(1);
  change.transpose = {};
  part.bars[1].changes.push_back(change);
  EXPECT_EQ(pitches(part), (std::vector{48, 47, 50, 50}));
}

}  // namespace
}  // namespace endpin
