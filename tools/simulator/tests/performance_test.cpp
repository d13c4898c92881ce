#include "endpin/simulator/performance.h"

#include <gtest/gtest.h>

#include "endpin/simulator/tunes.h"

namespace endpin::simulator {
namespace {

Player exact() {
  Player p;
  p.tempo_wander = p.onset_jitter_s = p.finger_cents = p.string_cents = p.hold_spread = 0;
  p.level_spread_db = p.attack_spread_s = p.vibrato_chance = 0;
  return p;
}

TEST(Performance, WithoutHumanErrorIsTheScoreAtItsTempo) {
  const auto tune = random_tune({});
  const auto played = perform(tune, plan_of(tune), exact(), 1, Seconds(1));
  ASSERT_EQ(played.notes.size(), tune.notes.size());
  for (std::size_t i = 0; i < tune.notes.size(); ++i) {
    const double expected = 1 + tune.tempo.seconds_at(tune.notes[i].onset).value();
    EXPECT_NEAR(played.notes[i].onset.value(), expected, 1e-9);
    EXPECT_EQ(played.truth[i].state, NoteState::heard);
    EXPECT_DOUBLE_EQ(played.notes[i].cents, 0);
  }
}

TEST(Performance, SlurredNotesHaveNoGapAndStaccatoHalf) {
  const auto tune = random_tune({});
  const auto played = perform(tune, plan_of(tune), exact(), 1);
  int slurred = 0;
  int dotted = 0;
  for (std::size_t i = 0; i + 1 < tune.notes.size(); ++i) {
    const double gap = (played.notes[i + 1].onset - played.notes[i].offset).value();
    if (played.notes[i + 1].joined) {
      EXPECT_NEAR(gap, 0, 1e-9);
      ++slurred;
    }
    if (tune.notes[i].articulation != Articulation::staccato) continue;
    const double length = (played.notes[i].offset - played.notes[i].onset).value();
    EXPECT_NEAR(length, 0.5 * 60 / 84, 1e-6);
    ++dotted;
  }
  EXPECT_GT(slurred, 2);
  EXPECT_GT(dotted, 0);
}

TEST(Performance, WhoSingsGivesAndTakesTimeAndSlowsDownAtTheEnd) {
  TuneOptions options;
  options.rests = options.staccato = options.slurs = false;
  const auto tune = random_tune(options);
  auto free = exact();
  free.rubato = 0.12;
  free.smooth_turns = 1;
  const auto played = perform(tune, plan_of(tune), free, 1);
  // Tempo over the written one, from each note to the next.
  const auto tempo = [&](std::size_t i) {
    const double written = (tune.tempo.seconds_at(tune.notes[i + 1].onset) -
                            tune.tempo.seconds_at(tune.notes[i].onset))
                               .value();
    return written / (played.notes[i + 1].onset - played.notes[i].onset).value();
  };
  double fastest = 0;
  int unheard = 0;
  for (std::size_t i = 0; i + 1 < tune.notes.size(); ++i) {
    fastest = std::max(fastest, tempo(i));
    if (played.notes[i + 1].turn_db > 0) {
      EXPECT_DOUBLE_EQ(played.notes[i].offset.value(), played.notes[i + 1].onset.value());
      EXPECT_EQ(played.notes[i].string, played.notes[i + 1].string);
      ++unheard;
    }
  }
  EXPECT_NEAR(fastest, 1 + 0.12 * 0.4, 0.01);
  EXPECT_LT(tempo(tune.notes.size() - 2), 0.85);
  EXPECT_GT(unheard, 5);
}

TEST(Performance, ALateDottedNoteKeepsItsShareOfWhatIsLeft) {
  const auto tune = random_tune({});
  auto plan = plan_of(tune);
  int dotted = 0;
  for (std::size_t i = 0; i + 1 < tune.notes.size(); ++i) {
    const bool alone = tune.notes[i].onset + tune.notes[i].duration == tune.notes[i + 1].onset;
    if (tune.notes[i].articulation != Articulation::staccato || !alone) continue;
    plan.intents[i].delay_s = 0.6 * tune.notes[i].duration.to_double() * 60 / 84;
    const auto played = perform(tune, plan, exact(), 1);
    const double place = (played.notes[i + 1].onset - played.notes[i].onset).value();
    EXPECT_NEAR((played.notes[i].offset - played.notes[i].onset).value(), place / 2, 1e-6);
    plan.intents[i].delay_s = 0, ++dotted;
  }
  EXPECT_GT(dotted, 0);
}

TEST(Performance, PlayersStrayWithinTheirLimits) {
  const auto tune = random_tune({});
  const auto played = perform(tune, plan_of(tune), beginner(), 3);
  for (const auto& note : played.notes) EXPECT_LE(std::abs(note.cents), 24);
  for (std::size_t i = 1; i < played.notes.size(); ++i) {
    EXPECT_GT(played.notes[i].onset, played.notes[i - 1].onset);
    EXPECT_LE(played.notes[i - 1].offset, played.notes[i].onset);
  }
}

}  // namespace
}  // namespace endpin::simulator
