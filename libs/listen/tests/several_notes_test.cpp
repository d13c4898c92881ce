// Faults that take in several notes in a row, or the first and the last.
#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "endpin/listen/findings.h"

#include "played.h"

namespace endpin::listen {
namespace {

// Eight bars in G major.
const std::vector<int> melody{67, 69, 71, 69, 72, 71, 69, 67, 71, 72, 74, 72, 71, 69, 71, 67,
                              69, 71, 72, 74, 76, 74, 72, 71, 69, 71, 69, 67, 66, 67, 69, 67};
constexpr double each_s = 0.6;

struct Played {
  int midi = 0;  ///< 0: a rest
  double quarters = 1;
};

std::vector<Played> as_written() {
  std::vector<Played> notes;
  for (const int midi : melody) notes.push_back({midi});
  return notes;
}

Recording recording_of(const std::vector<Played>& notes, float noise = 0) {
  double quarters = 0;
  for (const Played& n : notes) quarters += n.quarters;
  Recording r(0.5 + each_s * quarters + 1);
  double at_s = 0.5;
  for (const Played& n : notes) {
    const double lasts_s = each_s * n.quarters;
    if (n.midi > 0) r.add({at_s, lasts_s - 0.05, static_cast<double>(n.midi)});
    at_s += lasts_s;
  }
  return r.add_noise(noise);
}

Hearing heard(const std::vector<Played>& notes, float noise = 0) {
  return hear_one(Tune(melody, 100), recording_of(notes, noise));
}

std::vector<int> in_state(const Hearing& h, NoteState state) {
  std::vector<int> found;
  for (const NoteHearing& n : h.notes) {
    if (n.state == state) found.push_back(n.index);
  }
  return found;
}

std::vector<Finding> to_work_on(const Hearing& h, const Tune& tune = Tune(melody, 100)) {
  auto found = findings(h, tune.timeline);
  std::erase_if(found, [](const Finding& f) { return tone(f.kind) != endpin::Tone::work; });
  return found;
}

bool says(const Hearing& h, FindingKind kind) {
  const auto found = findings(h, Tune(melody, 100).timeline);
  return std::any_of(found.begin(), found.end(), [&](const Finding& f) { return f.kind == kind; });
}

using Notes = std::vector<int>;

TEST(SeveralNotes, ABarSatOutIsMissed) {
  for (const float noise : {0.0F, 0.004F}) {
    auto notes = as_written();
    for (std::size_t i = 12; i < 16; ++i) notes[i].midi = 0;
    const Hearing h = heard(notes, noise);
    EXPECT_EQ(in_state(h, NoteState::missed), (Notes{12, 13, 14, 15})) << noise;
    const auto said = to_work_on(h);
    ASSERT_EQ(said.size(), 1U);
    EXPECT_EQ(said[0].kind, FindingKind::missed);
  }
}

TEST(SeveralNotes, TwoWrongOnesInARowAreBothWrong) {
  auto notes = as_written();
  notes[13].midi = 74, notes[14].midi = 76;
  EXPECT_EQ(in_state(heard(notes), NoteState::wrong), (Notes{13, 14}));
}

TEST(SeveralNotes, ABarOnOtherNotesIsWrong) {
  auto notes = as_written();
  for (std::size_t i = 12; i < 16; ++i) notes[i].midi += 5;
  EXPECT_EQ(in_state(heard(notes), NoteState::wrong), (Notes{12, 13, 14, 15}));
}

TEST(SeveralNotes, TheFirstAndTheLastMayBeWrong) {
  auto notes = as_written();
  notes.front().midi = 65, notes.back().midi = 71;
  EXPECT_EQ(in_state(heard(notes), NoteState::wrong), (Notes{0, 31}));
}

TEST(SeveralNotes, WhoBeginsWithTheSecondNoteHasPlayedNoWrongOne) {
  auto notes = as_written();
  notes.front().midi = 0, notes.back().midi = 0;
  const Hearing h = heard(notes);
  EXPECT_EQ(in_state(h, NoteState::wrong), Notes{});
  EXPECT_EQ(in_state(h, NoteState::heard).size(), melody.size() - 2);
}

TEST(SeveralNotes, ANoteHeldForSecondsHidesNoOther) {
  for (const float noise : {0.0F, 0.004F}) {
    auto notes = as_written();
    notes[13].quarters = 5 / each_s;
    const Hearing h = heard(notes, noise);
    EXPECT_EQ(in_state(h, NoteState::heard).size(), melody.size());
    EXPECT_TRUE(h.restarts.empty());
    const auto said = to_work_on(h);
    ASSERT_EQ(said.size(), 1U);
    EXPECT_EQ(said[0].kind, FindingKind::hesitation);
  }
}

TEST(SeveralNotes, ABarAtAnotherTempoIsNotSteady) {
  for (const double times : {0.5, 2.0}) {
    auto notes = as_written();
    for (std::size_t i = 12; i < 16; ++i) notes[i].quarters = times;
    const Hearing h = heard(notes);
    EXPECT_EQ(in_state(h, NoteState::heard).size(), melody.size());
    EXPECT_FALSE(says(h, FindingKind::steady));
    EXPECT_TRUE(says(h, times < 1 ? FindingKind::rushing : FindingKind::dragging)) << times;
    EXPECT_EQ(to_work_on(h).size(), 1U);
  }
}

TEST(SeveralNotes, ANoteLeftABeatTooSoonIsNotSteady) {
  auto notes = as_written();
  notes[13].quarters = 0.3;
  const Hearing h = heard(notes);
  EXPECT_FALSE(says(h, FindingKind::steady));
  EXPECT_TRUE(says(h, FindingKind::early));
}

TEST(SeveralNotes, ANoteHeldABeatTooLongIsNotSteady) {
  auto notes = as_written();
  notes[13].quarters = 2;
  const Hearing h = heard(notes);
  EXPECT_FALSE(says(h, FindingKind::steady));
  EXPECT_TRUE(says(h, FindingKind::hesitation));
}

// A third as long again, for two bars, is too little to be told, and too much to be steady.
TEST(SeveralNotes, TwoSlowerBarsAreNotSteady) {
  EXPECT_TRUE(says(heard(as_written()), FindingKind::steady));
  auto notes = as_written();
  for (std::size_t i = 12; i < 20; ++i) notes[i].quarters = 1.3;
  EXPECT_FALSE(says(heard(notes), FindingKind::steady));
}

// Every note of the melody, so many seconds of it, sounds for a share of its time; its fingers are
// the second.
std::vector<Finding> said_of_lengths(double share, double seconds, bool dotted = false) {
  Tune tune(melody, 60 / seconds);
  for (TimelineNote& n : tune.timeline.notes) {
    n.finger = 2;
    if (dotted && n.index % 3 == 0) n.articulation = Articulation::staccato;
  }
  Recording r(1.5 + seconds * static_cast<double>(melody.size()));
  for (std::size_t i = 0; i < melody.size(); ++i) {
    const double at_s = 0.5 + seconds * static_cast<double>(i);
    r.add({at_s, share * seconds, static_cast<double>(melody[i])});
  }
  return to_work_on(hear_one(tune, r), tune);
}

TEST(SeveralNotes, DotsThatAreNowherePlayedAreOneThingToWorkOn) {
  const auto said = said_of_lengths(1.0, 0.6, true);
  ASSERT_EQ(said.size(), 1U);
  EXPECT_EQ(said[0].kind, FindingKind::not_separated);
  // Of eleven, four are of the pitch of an open string, which rings on.
  EXPECT_EQ(said[0].notes.size(), 7U);
}

// Pulses of one bow, as common practice has them.
TEST(SeveralNotes, DotsUnderASlurAreHardlyApart) {
  Tune tune(melody, 100);
  for (TimelineNote& n : tune.timeline.notes) {
    n.finger = 2, n.slur_id = n.index / 4;
    n.articulation = Articulation::staccato;
  }
  const auto kinds = work(findings(hear_one(tune, recording_of(as_written())), tune.timeline));
  EXPECT_EQ(std::count(kinds.begin(), kinds.end(), FindingKind::not_separated), 0);
}

// The last quarter sinks to two thirds of the tempo.
TEST(SeveralNotes, AnEndThatSlowsDownIsNoTempoThatSinks) {
  auto notes = as_written();
  for (std::size_t i = 24; i < notes.size(); ++i) {
    notes[i].quarters = 1 + 0.5 * static_cast<double>(i - 23) / 8;
  }
  EXPECT_FALSE(says(heard(notes), FindingKind::dragging));
}

TEST(SeveralNotes, LongOnesThatAllEndEarlyAreOneThingToWorkOn) {
  EXPECT_TRUE(said_of_lengths(0.85, 1).empty());
  const auto said = said_of_lengths(0.4, 1);
  ASSERT_EQ(said.size(), 1U);
  EXPECT_EQ(said[0].kind, FindingKind::short_held);
  EXPECT_GT(said[0].notes.size(), 25U);
}

TEST(SeveralNotes, ShortStrokesThroughoutAreAWayOfPlaying) {
  EXPECT_TRUE(said_of_lengths(0.45, 0.5).empty());
}

}  // namespace
}  // namespace endpin::listen
