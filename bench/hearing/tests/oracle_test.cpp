// An oracle between the stages is used, and tells what was played.
#include "oracle.h"

#include <cmath>
#include <span>

#include <gtest/gtest.h>

#include "endpin/simulator/channel.h"
#include "endpin/simulator/faults.h"
#include "endpin/simulator/sound.h"
#include "endpin/simulator/tunes.h"

namespace endpin::evaluation {
namespace {

using namespace simulator;

struct Take {
  Timeline timeline;
  Performance performance;
  Audio audio;
};

Take take_with(std::optional<Fault> fault) {
  TuneOptions options;
  options.bars = 6;
  options.bpm = 90;
  options.seed = 5;
  Take take{random_tune(options), {}, {}};
  Plan plan = plan_of(take.timeline);
  if (fault) plan = with_fault(take.timeline, plan, *fault, Random(2)).value();
  take.performance = perform(take.timeline, plan, good_student(), 3);
  take.audio = render(take.performance, *synthetic_string("cello", 200), "cello", 5);
  add_noise(take.audio, Decibels(45), 1);
  return take;
}

Hearing heard(const Take& take, const listen::StagedOptions& options) {
  return listen::hear_staged(std::span(&take.timeline, 1),
                             {take.audio.samples, static_cast<double>(take.audio.rate)}, options);
}

Hearing heard(const Take& take, Told told) {
  const Playing playing = playing_of(take.performance);
  Oracle oracle(playing, told);
  return heard(take, oracle.options());
}

TEST(Oracle, ThatTellsNothingChangesNothing) {
  const Take take = take_with(std::nullopt);
  EXPECT_EQ(to_json(heard(take, Told::nothing)), to_json(heard(take, listen::StagedOptions{})));
}

TEST(Oracle, OfTheRunLeavesTheOnsetsToTheSecondPass) {
  const Take take = take_with(std::nullopt);
  const Hearing hearing = heard(take, Told::run);
  for (std::size_t i = 0; i < hearing.notes.size(); ++i) {
    ASSERT_TRUE(hearing.notes[i].heard) << i;
    const Seconds truly = take.performance.notes[*take.performance.truth[i].played].onset;
    EXPECT_NEAR(hearing.notes[i].heard->onset.value(), truly.value(), 0.05) << i;
  }
}

TEST(Oracle, OfTheOnsetsPutsEachWhereItWas) {
  const Take take = take_with(std::nullopt);
  const Hearing hearing = heard(take, Told::onsets);
  for (std::size_t i = 0; i < hearing.notes.size(); ++i) {
    ASSERT_TRUE(hearing.notes[i].heard) << i;
    const Seconds truly = take.performance.notes[*take.performance.truth[i].played].onset;
    EXPECT_NEAR(hearing.notes[i].heard->onset.value(), truly.value(), 1e-6) << i;
  }
}

TEST(Oracle, OfTheTonesTellsStatesPitchesEndsAndExtraNotes) {
  for (const Fault fault : {Fault::missed_note, Fault::neighbour_note, Fault::extra_note,
                            Fault::restart, Fault::flat_note, Fault::short_held}) {
    const Take take = take_with(fault);
    const Hearing hearing = heard(take, Told::tones);
    const auto& truth = take.performance.truth;
    const double reference = interval(standard_a4, *hearing.reference.a4).value();
    for (std::size_t i = 0; i < hearing.notes.size(); ++i) {
      const NoteHearing& n = hearing.notes[i];
      ASSERT_EQ(n.state, truth[i].state) << name(fault) << " " << i;
      ASSERT_EQ(n.heard.has_value(), truth[i].played.has_value()) << name(fault) << " " << i;
      if (!n.heard) continue;
      const PlayedNote& played = take.performance.notes[*truth[i].played];
      EXPECT_EQ(n.heard->midi, played.midi);
      EXPECT_NEAR(n.heard->offset->value(), played.offset.value(), 1e-9);
      if (n.state == NoteState::heard) {
        EXPECT_NEAR(n.heard->intonation->value() + reference, played.cents, 1e-6);
      }
    }
    EXPECT_EQ(hearing.extra.size(), fault == Fault::extra_note ? 1U : 0U) << name(fault);
    EXPECT_EQ(hearing.restarts.size(), take.performance.restarts.size()) << name(fault);
  }
}

}  // namespace
}  // namespace endpin::evaluation
