#include "followed_hearing.h"

#include <gtest/gtest.h>

namespace endpin::desk {
namespace {

TimelineNote note(int index, const char* id, int midi) {
  TimelineNote n;
  n.index = index;
  n.id = id;
  n.bar = "1";
  n.midi = midi;
  n.onset = Beats(index);
  n.duration = Beats(1);
  return n;
}

Timeline of(std::vector<TimelineNote> notes) {
  Timeline timeline;
  timeline.notes = std::move(notes);
  return timeline;
}

Hearing heard(const Timeline& timeline) {
  Hearing hearing;
  for (const TimelineNote& n : timeline.notes) {
    NoteHearing told;
    told.index = n.index;
    told.id = n.id;
    told.bar = n.bar;
    told.onset = n.onset;
    told.duration = n.duration;
    told.midi = n.midi;
    told.state = NoteState::heard;
    told.heard = HeardNote{};
    hearing.notes.push_back(told);
  }
  return hearing;
}

Finding about(std::vector<int> notes) {
  Finding finding;
  finding.kind = FindingKind::wrong_note;
  finding.notes = std::move(notes);
  return finding;
}

const Timeline read = of({note(0, "a", 50), note(1, "b", 52), note(2, "c", 54)});

TEST(FollowedHearing, OfTheSameScoreIsTheSame) {
  EXPECT_EQ(to_json(followed(heard(read), read)), to_json(heard(read)));
}

TEST(FollowedHearing, KnowsNotesByIdWhereOneCameBetween) {
  Hearing before = heard(read);
  before.findings = {about({2})};
  before.range_from = 0;
  before.range_to = 2;
  const Timeline now =
      of({note(0, "a", 50), note(1, "new1", 51), note(2, "b", 52), note(3, "c", 54)});
  const Hearing after = followed(before, now);
  ASSERT_EQ(after.notes.size(), 4U);
  EXPECT_EQ(after.notes[1].state, NoteState::uncertain);
  EXPECT_EQ(after.notes[3].id, "c");
  EXPECT_EQ(after.notes[3].index, 3);
  EXPECT_EQ(after.notes[3].state, NoteState::heard);
  EXPECT_EQ(after.findings.at(0).notes, std::vector<int>{3});
  EXPECT_EQ(after.range_to, 3);
}

// Who played what is printed was told that it is wrong; the print was misread.
TEST(FollowedHearing, SaysNothingOfANoteThatIsAnotherOneNow) {
  Hearing before = heard(read);
  before.notes[1].state = NoteState::wrong;
  before.findings = {about({1}), about({0, 1})};
  const Hearing after =
      followed(before, of({note(0, "a", 50), note(1, "b", 53), note(2, "c", 54)}));
  EXPECT_EQ(after.notes[1].state, NoteState::uncertain);
  EXPECT_FALSE(after.notes[1].heard);
  EXPECT_EQ(after.notes[1].midi, 53);
  ASSERT_EQ(after.findings.size(), 1U);
  EXPECT_EQ(after.findings[0].notes, std::vector<int>{0});
}

TEST(FollowedHearing, OfAnotherPieceStaysAsItIs) {
  const Timeline other = of({note(0, "x", 60)});
  EXPECT_EQ(to_json(followed(heard(read), other)), to_json(heard(read)));
}

}  // namespace
}  // namespace endpin::desk
