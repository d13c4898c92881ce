// Simulated players in a room, one note an octave beside what is written: the path splits such a
// note in two, a tone that seems put in and a doubtful rest of it.
#include <gtest/gtest.h>

#include "endpin/listen/listen.h"
#include "endpin/simulator/channel.h"
#include "endpin/simulator/faults.h"
#include "endpin/simulator/performance.h"
#include "endpin/simulator/sound.h"
#include "endpin/simulator/tunes.h"

namespace endpin {
namespace {

using namespace simulator;

// The truth is the simulator's plan. Before the two halves were joined all four were said to be
// extra, and none to be wrong.
TEST(WrongOctave, IsTheNotesOwnMistakeAndNoExtraTone) {
  for (const std::uint64_t seed : {10U, 15U, 119U, 120U}) {
    TuneOptions options;
    options.bars = 5;
    options.bpm = 84;
    options.seed = seed;
    const Timeline tune = random_tune(options);
    const auto plan = with_fault(tune, plan_of(tune), Fault::wrong_octave, Random(seed));
    ASSERT_TRUE(plan) << seed;
    const auto played = perform(tune, *plan, good_student(), seed);
    Audio audio = render(played, *synthetic_string("cello", 103), "cello", seed);
    add_room(audio, Seconds(0.4), seed);
    add_noise(audio, Decibels(20), 1);
    const Hearing h = hear(std::span(&tune, 1), {audio.samples, static_cast<double>(audio.rate)});
    EXPECT_TRUE(h.extra.empty()) << seed;
    for (std::size_t i = 0; i < h.notes.size(); ++i) {
      const bool wrong = played.truth[i].state == NoteState::wrong;
      EXPECT_EQ(h.notes[i].state == NoteState::wrong, wrong) << seed << ' ' << i;
    }
  }
}

}  // namespace
}  // namespace endpin
