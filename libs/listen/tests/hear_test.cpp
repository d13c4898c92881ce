#include <algorithm>
#include <limits>

#include <gtest/gtest.h>

#include "played.h"

namespace endpin::listen {
namespace {

const std::vector<int> melody{67, 69, 71, 72, 74, 71, 67, 69, 71, 67, 74, 76, 78, 79, 76, 74};

int count(const Hearing& h, NoteState state) {
  int n = 0;
  for (const NoteHearing& note : h.notes) n += note.state == state;
  return n;
}

// A recording that was cut, or rendered, begins with its first note.
TEST(Hear, WhatSoundsFromTheFirstSampleBeginsThere) {
  const Tune tune({57, 60, 62, 64, 65, 64, 62, 60});
  const auto first_onset = [&](double start_s) {
    return hear_one(tune, play(tune, all_of(tune), 2.0 / 3, start_s)).notes[0].heard->onset.value();
  };
  EXPECT_EQ(first_onset(0), 0);
  EXPECT_NEAR(first_onset(0.06), 0.06, 0.03);
  EXPECT_GT(first_onset(0.06), 0);
}

TEST(Hear, PlacesEveryNoteOfACleanPlayingWithinTwentyMilliseconds) {
  const Tune tune(melody);
  const Hearing h = hear_one(tune, play(tune, all_of(tune)));
  ASSERT_EQ(h.status, HearingStatus::ok);
  EXPECT_EQ(count(h, NoteState::heard), 16);
  for (const NoteHearing& n : h.notes) {
    ASSERT_TRUE(n.heard);
    EXPECT_NEAR(n.heard->onset.value(), 0.5 + n.index * 2.0 / 3, 0.02) << n.index;
    ASSERT_TRUE(n.heard->intonation);
    EXPECT_NEAR(n.heard->intonation->value(), 0, 5) << n.index;
  }
  EXPECT_NEAR(h.tempo.bpm.value_or(0), 90, 1);
  EXPECT_TRUE(h.restarts.empty());
}

TEST(Hear, FindsTheTempoByItselfFromHalfToDouble) {
  const Tune tune(melody, 90);
  for (const double each : {1.3, 0.34}) {
    const Hearing h = hear_one(tune, play(tune, all_of(tune), each));
    ASSERT_EQ(h.status, HearingStatus::ok) << each;
    EXPECT_EQ(count(h, NoteState::heard), 16) << each;
    EXPECT_NEAR(h.tempo.bpm.value_or(0), 60 / each, 2) << each;
  }
}

// A phone that was left running: the last note was once placed as late as the silence allowed.
TEST(Hear, PlacesNothingInALongSilenceAroundThePlaying) {
  const Tune tune(melody);
  const Recording playing = play(tune, all_of(tune));
  for (const double before_s : {0.0, 90.0}) {
    Recording r(before_s + playing.view().length().value() + 90);
    const auto& own = playing.view().samples;
    std::copy(own.begin(), own.end(),
              r.samples().begin() + static_cast<std::ptrdiff_t>(before_s * Recording::rate));
    const Hearing h = hear_one(tune, r);
    ASSERT_EQ(h.status, HearingStatus::ok) << before_s;
    EXPECT_EQ(count(h, NoteState::heard), 16) << before_s;
    for (const NoteHearing& n : h.notes) {
      ASSERT_TRUE(n.heard) << n.index;
      EXPECT_NEAR(n.heard->onset.value(), before_s + 0.5 + n.index * 2.0 / 3, 0.02) << n.index;
    }
    EXPECT_NEAR(h.tempo.bpm.value_or(0), 90, 1);
  }
}

TEST(Hear, LeavesNotesAfterTheEndOfPlayingUnreached) {
  const Tune tune(melody);
  const Hearing h = hear_one(tune, play(tune, {0, 1, 2, 3, 4, 5, 6, 7}));
  EXPECT_EQ(count(h, NoteState::heard), 8);
  EXPECT_EQ(count(h, NoteState::not_reached), 8);
  EXPECT_EQ(h.range_to, 7);
  for (int i = 8; i < 16; ++i) EXPECT_FALSE(h.notes[static_cast<std::size_t>(i)].heard);
}

TEST(Hear, FollowsARestartAtABarLine) {
  const Tune tune(melody);
  const Hearing h =
      hear_one(tune, play(tune, {0, 1, 2, 3, 4, 5, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15}));
  ASSERT_EQ(h.restarts.size(), 1U);
  EXPECT_EQ(h.restarts[0].from_index, 5);
  EXPECT_EQ(h.restarts[0].to_index, 4);
  EXPECT_NEAR(h.restarts[0].time.value(), 0.5 + 6 * 2.0 / 3, 0.1);
  EXPECT_EQ(h.notes[4].attempts.size(), 1U);
  EXPECT_EQ(count(h, NoteState::heard), 16);
}

TEST(Hear, HearsWhatWasPlayedInTheWrittenNotesPlace) {
  const Tune tune(melody);
  Tune other(melody);
  other.timeline.notes[7].midi = 70;  // B flat for A, neither neighbour
  const Hearing h = hear_one(tune, play(other, all_of(other)));
  EXPECT_EQ(h.notes[7].state, NoteState::wrong);
  ASSERT_TRUE(h.notes[7].heard);
  EXPECT_EQ(h.notes[7].heard->midi, 70);
  EXPECT_FALSE(h.notes[7].heard->intonation);
  EXPECT_EQ(count(h, NoteState::heard), 15);
}

TEST(Hear, MeasuresAFlatNoteAsFlatNotWrong) {
  const Tune tune(melody);
  Recording r(12);
  for (int i = 0; i < 16; ++i) {
    const double cents = i == 8 ? -0.45 : 0;
    r.add({0.5 + i * 2.0 / 3, 0.6, melody[static_cast<std::size_t>(i)] + cents});
  }
  const Hearing h = hear_one(tune, r);
  EXPECT_EQ(h.notes[8].state, NoteState::heard);
  ASSERT_TRUE(h.notes[8].heard && h.notes[8].heard->intonation);
  EXPECT_NEAR(h.notes[8].heard->intonation->value(), -45, 5);
}

TEST(Hear, FindsTheTuningOfTheInstrument) {
  const Tune tune(melody);
  Recording r(12);
  for (int i = 0; i < 16; ++i) {
    r.add({0.5 + i * 2.0 / 3, 0.6, melody[static_cast<std::size_t>(i)] + 0.16});
  }
  const Hearing h = hear_one(tune, r);
  EXPECT_EQ(h.status, HearingStatus::ok);
  EXPECT_NEAR(h.reference.a4->value(), 444, 0.6);  // 16 cents
  EXPECT_FALSE(h.reference.a4_given);
}

TEST(Hear, SaysThatATakeSoundsAnOctaveFromWhatIsWritten) {
  const Tune written(melody);
  for (const int octaves : {1, -1}) {
    std::vector<int> moved = melody;
    for (int& m : moved) m += 12 * octaves;
    const Tune sounding(moved);
    const Hearing h = hear_one(written, play(sounding, all_of(sounding)));
    ASSERT_EQ(h.status, HearingStatus::ok) << octaves;
    EXPECT_EQ(h.reference.octaves, octaves);
    EXPECT_EQ(count(h, NoteState::heard), 16) << octaves;
    EXPECT_EQ(h.notes[3].heard->midi, melody[3]) << octaves;
  }
}

TEST(Hear, RefusesAnotherPiece) {
  const Tune tune(melody);
  const Tune other({64, 62, 60, 67, 65, 72, 64, 60, 59, 62, 69, 65, 64, 67, 60, 72});
  EXPECT_EQ(hear_one(tune, play(other, all_of(other))).status, HearingStatus::wrong_piece);
}

TEST(Hear, RefusesSilenceAndWhatIsTooShort) {
  const Tune tune(melody);
  EXPECT_EQ(hear_one(tune, Recording(8)).status, HearingStatus::no_music);
  EXPECT_EQ(hear_one(tune, Recording(1)).status, HearingStatus::too_short);
  EXPECT_EQ(hear(std::span(&tune.timeline, 1), {}).status, HearingStatus::too_short);
}

TEST(Hear, StandsAnySamples) {
  const Tune tune(melody);
  for (const float value : {std::numeric_limits<float>::quiet_NaN(),
                            std::numeric_limits<float>::infinity(), 1.0F, -1e30F, 1e-30F}) {
    Recording r(4);
    for (float& x : r.samples()) x = value;
    EXPECT_NE(hear_one(tune, r).status, HearingStatus::ok) << value;
  }
  EXPECT_NE(hear(std::span<const Timeline>(), play(tune, all_of(tune)).view()).status,
            HearingStatus::ok);
}

TEST(Hear, StandsAnyNumberOfSamplesASecond) {
  const Tune tune(melody);
  const Recording r = play(tune, all_of(tune));
  for (const double rate :
       {0.0, 1.0, 7999.0, 192001.0, -24000.0, std::numeric_limits<double>::quiet_NaN()}) {
    const AudioView view{r.view().samples, rate};
    EXPECT_NE(hear(std::span(&tune.timeline, 1), view).status, HearingStatus::ok) << rate;
  }
}

TEST(Hear, StandsHolesInTheSamples) {
  const Tune tune(melody);
  Recording r = play(tune, all_of(tune));
  for (std::size_t i = 0; i < r.samples().size(); i += 5000) {
    r.samples()[i] = std::numeric_limits<float>::quiet_NaN();
  }
  EXPECT_EQ(count(hear_one(tune, r), NoteState::heard), 16);
}

TEST(HearMetamorphic, GainAndPolarityChangeNothing) {
  const Tune tune(melody);
  const Recording r = play(tune, all_of(tune));
  const Hearing before = hear_one(tune, r);
  for (const float gain : {0.1F, -1.0F}) {
    Recording louder = r;
    for (float& x : louder.samples()) x *= gain;
    const Hearing after = hear_one(tune, louder);
    for (std::size_t i = 0; i < before.notes.size(); ++i) {
      ASSERT_TRUE(after.notes[i].heard) << gain;
      EXPECT_NEAR(after.notes[i].heard->onset.value(), before.notes[i].heard->onset.value(), 0.006);
    }
  }
}

TEST(HearMetamorphic, SilenceBeforeMovesEverythingByItsLength) {
  const Tune tune(melody);
  const Hearing before = hear_one(tune, play(tune, all_of(tune)));
  const Hearing after = hear_one(tune, play(tune, all_of(tune), 2.0 / 3, 3.5));
  for (std::size_t i = 0; i < before.notes.size(); ++i) {
    ASSERT_TRUE(after.notes[i].heard);
    EXPECT_NEAR((after.notes[i].heard->onset - before.notes[i].heard->onset).value(), 3, 0.011);
  }
}

TEST(HearMetamorphic, TranspositionOfBothChangesNothing) {
  for (const int by : {-19, -7, 5}) {
    std::vector<int> moved = melody;
    for (int& m : moved) m += by;
    const Tune tune(moved);
    const Hearing h = hear_one(tune, play(tune, all_of(tune)));
    EXPECT_EQ(count(h, NoteState::heard), 16) << by;
  }
}

TEST(Hear, MakesNoOctaveErrorOnTheLowestNotes) {
  const std::vector<int> low{36, 38, 40, 41, 43, 41, 40, 38, 36, 43, 38, 40};  // C2 to G2
  const Tune tune(low, 60);
  const Hearing h = hear_one(tune, play(tune, all_of(tune), 1));
  EXPECT_EQ(count(h, NoteState::heard), 12);
  EXPECT_EQ(count(h, NoteState::wrong), 0);
}

TEST(Hear, IsDeterministic) {
  const Tune tune(melody);
  const Recording r = play(tune, {0, 1, 2, 3, 2, 3, 4});
  EXPECT_EQ(to_json(hear_one(tune, r)), to_json(hear_one(tune, r)));
}

}  // namespace
}  // namespace endpin::listen
