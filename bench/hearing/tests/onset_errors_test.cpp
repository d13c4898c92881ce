#include "onset_errors.h"

#include <gtest/gtest.h>

#include "scores.h"

namespace endpin::measures {
namespace {

NoteHearing heard(int index, double onset, double offset) {
  NoteHearing note;
  note.index = index;
  note.state = NoteState::heard;
  note.heard.emplace();
  note.heard->onset = Seconds(onset);
  note.heard->offset = Seconds(offset);
  return note;
}

TEST(OnsetErrors, TellHowEachNoteBegins) {
  Timeline timeline;
  timeline.notes = {quarter(0, 0, 60), quarter(1, 1, 62), quarter(2, 2, 62),
                    quarter(3, 3, 64), quarter(4, 5, 65), quarter(5, 5, 69)};
  timeline.notes[2].slur_id = 1;
  timeline.notes[3].slur_id = 1;
  using enum BoundaryClass;
  EXPECT_EQ(boundary_classes_of(timeline),
            (std::vector{after_rest, detache, repeated_pitch, slur, after_rest, after_rest}));
}

TEST(OnsetErrors, TakeTheMedianAsBias) {
  Timeline timeline;
  timeline.notes = {quarter(0, 0, 60), quarter(1, 1, 62), quarter(2, 2, 64), quarter(3, 3, 65)};
  std::vector<TrueNote> truth;
  for (int i = 0; i < 4; ++i) truth.push_back({{i}, 60, Seconds(i), Seconds(i + 1)});
  std::vector<NoteHearing> notes{heard(0, 0.02, 1.1), heard(1, 1.02, 2.3), heard(2, 2.08, 3),
                                 NoteHearing{}};
  notes[3].state = NoteState::uncertain;
  const auto errors = note_errors(timeline, truth, notes);
  EXPECT_NEAR(bias(errors), 0.02, 1e-9);
  EXPECT_DOUBLE_EQ(found_within(errors, Seconds(0.05)), 0.5);
  EXPECT_DOUBLE_EQ(found_within(errors, Seconds(0.1)), 0.75);
  EXPECT_NEAR(median(absolute_errors(errors)), 0, 1e-9);
  EXPECT_TRUE(offset_holds(errors[0]));
  EXPECT_FALSE(offset_holds(errors[1]));  // 300 ms late where 200 are allowed
  EXPECT_FALSE(offset_holds(errors[3]));
}

TEST(OnsetErrors, CountTheNearerOfAUnison) {
  Timeline timeline;
  timeline.notes = {quarter(0, 0, 60), quarter(1, 0, 60)};
  const std::vector<TrueNote> truth{{{0, 1}, 60, Seconds(1), Seconds(2)}};
  const auto errors = note_errors(timeline, truth, {heard(0, 1.3, 2), heard(1, 1.01, 2)});
  ASSERT_EQ(errors.size(), 1u);
  EXPECT_NEAR(errors[0].onset_s, 0.01, 1e-9);
}

}  // namespace
}  // namespace endpin::measures
