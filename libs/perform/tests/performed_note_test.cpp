#include "endpin/perform/performed_note.h"

#include <gtest/gtest.h>

#include "tune.h"

namespace endpin {
namespace {

using testing_tunes::quarters;
using testing_tunes::tune;

std::vector<PerformedNote> performed(const Timeline& timeline) {
  return performed_notes(timeline, timeline.tempo, Beats(0), Seconds(0), 0,
                         static_cast<int>(timeline.notes.size()) - 1);
}

double fraction(const Timeline& timeline, std::size_t index) {
  const PerformedNote note = performed(timeline).at(index);
  const double written = timeline.notes[index].duration.to_double() *
                         timeline.tempo.tempo_at(Beats(0)).per_quarter().value();
  return (note.end - note.start).value() / written;
}

// Dot: half or a little less (C. P. E. Bach, Türk: keyboard treatises, from memory); wedge a
// quarter, portato three quarters, tenuto and slurs the whole (common practice, from memory).
TEST(PerformedNotes, SoundForTheFractionOfTheirArticulation) {
  const struct {
    Articulation articulation;
    double fraction;
  } table[] = {{Articulation::staccato, 0.50},
               {Articulation::staccatissimo, 0.25},
               {Articulation::portato, 0.75},
               {Articulation::tenuto, 1.00}};
  for (const auto& row : table) {
    Timeline timeline = tune(quarters(50, 4));
    timeline.notes[1].articulation = row.articulation;
    EXPECT_NEAR(fraction(timeline, 1), row.fraction, 1e-9) << name(row.articulation);
  }
}

TEST(PerformedNotes, LeaveALittleSpaceBetweenSeparateQuartersAndHoldLongNotes) {
  const Timeline timeline = tune({{50, Beats(1)}, {50, Beats(1)}, {50, Beats(2)}, {52, Beats(4)}});
  EXPECT_GE(fraction(timeline, 0), 0.60);
  EXPECT_LE(fraction(timeline, 0), 0.85);
  EXPECT_NEAR(fraction(timeline, 2), 1.0, 1e-9);
}

TEST(PerformedNotes, JoinUnderASlurAndStopAtItsEnd) {
  Timeline timeline = tune({{50, Beats(1)}, {52, Beats(1)}, {53, Beats(1)}, {55, Beats(1)}});
  for (std::size_t i : {0U, 1U}) {
    timeline.notes[i].slur_id = 7;
    timeline.notes[i].stroke_id = 3;
  }
  const auto notes = performed(timeline);
  EXPECT_TRUE(notes[0].joined_after);
  EXPECT_TRUE(notes[1].joined_before);
  EXPECT_FALSE(notes[1].joined_after);
  EXPECT_FALSE(notes[2].joined_before);
  EXPECT_NEAR(fraction(timeline, 0), 1.0, 1e-9);
}

TEST(PerformedNotes, PulseARepeatedPitchUnderASlur) {
  Timeline timeline = tune(quarters(50, 2));
  for (TimelineNote& note : timeline.notes) {
    note.slur_id = 1;
    note.articulation = Articulation::portato;
  }
  EXPECT_FALSE(performed(timeline)[0].joined_after);
  EXPECT_NEAR(fraction(timeline, 0), 0.75, 1e-9);
}

TEST(PerformedNotes, ShortenTheFirstNoteOfAHook) {
  Timeline timeline = tune({{50, Beats(3, 2)}, {52, Beats(1, 2)}});
  for (TimelineNote& note : timeline.notes) note.stroke_id = 1;
  EXPECT_NEAR(fraction(timeline, 0), 0.75, 1e-9);
  EXPECT_FALSE(performed(timeline)[0].joined_after);
}

TEST(PerformedNotes, AreNotJoinedAcrossARest) {
  Timeline timeline = tune({{50, Beats(1)}, {0, Beats(1), true}, {52, Beats(1)}});
  for (TimelineNote& note : timeline.notes) note.slur_id = 1;
  EXPECT_FALSE(performed(timeline)[0].joined_after);
}

}  // namespace
}  // namespace endpin
