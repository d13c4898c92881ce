#include <algorithm>
#include <span>

#include <gtest/gtest.h>

#include "endpin/listen/findings.h"

#include "align/observations.h"
#include "features/pitch_evidence.h"
#include "played.h"

namespace endpin::listen {
namespace {

const std::vector<int> melody{76, 74, 79, 71, 76, 83, 81, 74, 72, 79, 78, 71};

Recording played(const std::vector<int>& midi, double level = 0.2) {
  Recording r(0.5 + 0.6 * static_cast<double>(midi.size()) + 0.8);
  double at = 0.5;
  for (const int m : midi) r.add({at, 0.57, static_cast<double>(m), level}), at += 0.6;
  return r;
}

// The melody without its seventh note.
Recording with_the_sixth_held_through_the_seventh() {
  Recording r(8.5);
  for (std::size_t i = 0; i < melody.size(); ++i) {
    if (i == 6) continue;
    const double length = i == 5 ? 1.17 : 0.57;
    r.add({0.5 + 0.6 * static_cast<double>(i), length, static_cast<double>(melody[i])});
  }
  return r;
}

// Chords of a viola and a cello under each pair of notes; the melody's level is 0.2.
void accompany(Recording& r, double level = 0.2) {
  const int chords[][2] = {{40, 67}, {43, 62}, {48, 64}, {50, 66}, {45, 60}, {43, 62}};
  double at = 0.51;
  for (const auto& chord : chords) {
    for (const int m : chord) r.add({at, 1.16, static_cast<double>(m), level});
    at += 1.2;
  }
}

Hearing heard(const Tune& tune, const Recording& r) {
  Hearing hearing = hear(std::span(&tune.timeline, 1), r.view());
  add_findings(hearing, std::span(&tune.timeline, 1));
  return hearing;
}

double share_heard(const Hearing& hearing) {
  const auto n = std::count_if(hearing.notes.begin(), hearing.notes.end(),
                               [](const NoteHearing& x) { return x.state == NoteState::heard; });
  return static_cast<double>(n) / static_cast<double>(hearing.notes.size());
}

// The lower one's partials lie between those of the upper one, or are among them.
TEST(PitchEvidence, SupportsEachOfTwoTonesAlike) {
  for (const int lower : {40, 48, 55}) {
    Recording r(1);
    r.add({0.1, 0.8, static_cast<double>(lower)}).add({0.1, 0.8, 76});
    const SoundFeatures sound = sound_features(r.view(), {.low_notes = true}, {});
    const PitchEvidence pitch(sound, 30, 95, 0);
    const auto middle = static_cast<std::size_t>(0.5 / sound.pitch_step_s());
    for (const int played : {lower, 76}) {
      for (const int away : {-2, -1, 1, 2}) {
        EXPECT_GT(pitch.support(middle, played), pitch.support(middle, played + away) + 0.2)
            << played << " over " << lower;
      }
    }
  }
}

// Of a major seventh no partial of one is near one of the other but by chance.
TEST(PitchEvidence, SeesWhatSoundsBesideTheBestPitch) {
  Recording r(1);
  r.add({0.1, 0.8, 62}).add({0.1, 0.8, 73});
  const SoundFeatures sound = sound_features(r.view(), {}, {});
  const PitchEvidence pitch(sound, 50, 95, 0);
  EXPECT_GT(pitch.beside_best(static_cast<std::size_t>(0.5 / sound.pitch_step_s())), 0.25F);
}

TEST(PitchEvidence, FindsNothingBesideATonePlayedAlone) {
  for (const int midi : {43, 62, 76}) {
    Recording r(1);
    r.add({0.1, 0.8, static_cast<double>(midi)});
    const SoundFeatures sound = sound_features(r.view(), {.low_notes = midi < 55}, {});
    const PitchEvidence pitch(sound, 30, 95, 0);
    EXPECT_LT(pitch.beside_best(static_cast<std::size_t>(0.5 / sound.pitch_step_s())), 0.05F);
  }
}

TEST(Company, OfOthersIsNoFaultOfTheStudent) {
  const Tune tune(melody, 100);
  Recording r = played(melody);
  accompany(r);
  const Hearing hearing = heard(tune, r);
  EXPECT_EQ(hearing.status, HearingStatus::ok);
  EXPECT_EQ(share_heard(hearing), 1);
  EXPECT_TRUE(hearing.extra.empty());
  for (const Finding& f : hearing.findings) EXPECT_NE(tone(f.kind), Tone::work) << f.says;
}

// Nine decibels softer, too: where others may cover a note nobody can say that it was left out, and
// no note stands where it stands as surely as one that is heard alone.
TEST(Company, ThatIsSofterLeavesOpenWhatItMayCover) {
  const Tune tune(melody, 100);
  Recording r = with_the_sixth_held_through_the_seventh();
  const Hearing alone = heard(tune, r);
  accompany(r, 0.07);
  const Hearing among_others = heard(tune, r);
  EXPECT_EQ(alone.notes[6].state, NoteState::missed);
  EXPECT_EQ(among_others.notes[6].state, NoteState::uncertain);
  EXPECT_GT(alone.notes[2].heard->confidence, 0.93);
  EXPECT_LT(among_others.notes[2].heard->confidence, 0.93);
}

TEST(Company, IsNotThePieceWhereTheStudentIsSilent) {
  const Tune tune(melody, 100);
  Recording r(8.5);
  accompany(r);
  const Hearing hearing = heard(tune, r);
  EXPECT_NE(hearing.status, HearingStatus::ok);
}

// A weak note between two others, in noise: whether the search left it out or not, its comb stands.
TEST(Missed, IsNoNoteWhoseCombStands) {
  const Tune tune(melody, 100);
  Recording r(8.5);
  for (std::size_t i = 0; i < melody.size(); ++i) {
    const double level = i == 5 ? 0.02 : 0.2;
    r.add({0.5 + 0.6 * static_cast<double>(i), 0.57, static_cast<double>(melody[i]), level});
  }
  EXPECT_NE(heard(tune, r).notes[5].state, NoteState::missed);
}

TEST(Missed, IsANoteInWhosePlaceTheOneBeforeIsHeld) {
  const Tune tune(melody, 100);
  const Recording r = with_the_sixth_held_through_the_seventh();
  EXPECT_EQ(heard(tune, r).notes[6].state, NoteState::missed);
}

TEST(Company, IsNotHeardInANoteAloneThatIsWrong) {
  const Tune tune(melody, 100);
  auto slipped = melody;
  slipped[6] = 80;
  const Hearing hearing = heard(tune, played(slipped));
  ASSERT_EQ(hearing.status, HearingStatus::ok);
  EXPECT_EQ(hearing.notes[6].state, NoteState::wrong);
}

}  // namespace
}  // namespace endpin::listen
