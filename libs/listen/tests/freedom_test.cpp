// What a player may do: swell, slide, shake, take time. None of it is a fault.
#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "endpin/listen/findings.h"

#include "align/doubtful_runs.h"
#include "measure/fall.h"
#include "measure/tone.h"
#include "played.h"
#include "seen.h"

namespace endpin::listen {
namespace {

const std::vector<int> melody{67, 69, 71, 72, 74, 71, 67, 69, 71, 67, 74, 76, 78, 79, 76, 74};
constexpr std::size_t place = 8;

// A harmonic tone between two times whose pitch and level are functions of its share that is past.
template <typename Midi, typename Level>
void add_shaped(Recording& r, double from_s, double to_s, Midi midi, Level level) {
  double phase = 0;
  const auto from = static_cast<std::size_t>(from_s * Recording::rate);
  const auto to = static_cast<std::size_t>(to_s * Recording::rate);
  for (std::size_t i = from; i < to && i < r.samples().size(); ++i) {
    const double past = static_cast<double>(i - from) / static_cast<double>(to - from);
    const double hz = 440 * std::exp2((midi(past) - 69) / 12);
    phase += 2 * std::numbers::pi * hz / Recording::rate;
    const double edge = std::min(past, 1 - past) * (to_s - from_s) / 0.03;
    for (int h = 1; h <= 10 && h * hz < 9000; ++h) {
      r.samples()[i] +=
          static_cast<float>(level(past) * std::min(1.0, edge) / h * std::sin(h * phase + h * h));
    }
  }
}

double db(double value) { return std::pow(10, value / 20); }

// Ten decibels softer in the course of a second, or of the bow's rest in its last third.
TEST(Freedom, ADiminuendoIsNoRest) {
  const Tune tune({67, 69}, 60);
  const auto fall_of = [&](auto level) {
    Recording r(3);
    add_shaped(
        r, 0.5, 1.5, [](double) { return 67.0; }, level);
    r.add({1.5, 1, 69});
    return fall_before_next(Seen(tune, r).observations(), 67, 0.5, 1.5).value_or(0);
  };
  EXPECT_LT(fall_of([](double past) { return 0.3 * db(-10 * past); }), 5);
  EXPECT_GT(fall_of([](double past) { return past < 0.66 ? 0.3 : 0.3 * db(-14); }), 12);
}

TEST(Freedom, APitchThatGlidesIsNotSure) {
  const Tune tune({67, 69}, 60);
  const auto doubt_of = [&](auto midi) {
    Recording r(2);
    add_shaped(r, 0.5, 1.2, midi, [](double) { return 0.2; });
    const Seen seen(tune, r);
    return measure_tone(seen.observations(), seen.score().events[0], 67, 0.5, 1.2, 0)
        .uncertainty.value_or(Cents(0))
        .value();
  };
  EXPECT_LT(doubt_of([](double) { return 66.55; }), 2);
  // Half of the distance between the middles of its halves, 30 cents, as a quarter is left out.
  EXPECT_NEAR(doubt_of([](double past) { return 66.55 + 0.8 * past; }), 17, 4);
}

// Whether the tune's ninth note with a neighbour tone in it is said to hold one that is not
// written.
bool says_extra(int shakes) {
  const Tune tune(melody);
  constexpr double each_s = 2.0 / 3;
  Recording r(12);
  for (std::size_t i = 0; i < melody.size(); ++i) {
    const double at = 0.5 + static_cast<double>(i) * each_s, midi = melody[i];
    if (i != place) {
      r.add({at, 0.6, midi});
      continue;
    }
    const double part = 0.62 / (2 * shakes);
    for (int k = 0; k < 2 * shakes; ++k) {
      r.add({at + k * part, part, midi + (k % 2 == 0 ? 0 : 2)});
    }
  }
  return !hear_one(tune, r).extra.empty();
}

TEST(Freedom, AShakeIsNoToneThatIsNotWritten) {
  EXPECT_TRUE(says_extra(1));
  EXPECT_FALSE(says_extra(2));
  EXPECT_FALSE(says_extra(3));
}

// The events of a run that goes back to its last note at 2.5 s, after the search has doubted it.
std::size_t events_left(const Recording& r) {
  const Tune tune({67, 69, 71, 72, 74, 76}, 60);
  const Seen seen(tune, r);
  Path path;
  const auto add = [&](int event, double onset_s, double end_s, bool jumped_to) {
    path.placed.push_back({event, onset_s, end_s, jumped_to, false, false});
  };
  add(0, 0.5, 1.5, true), add(1, 1.5, 2, false), add(2, 2, 2.5, false);
  add(2, 2.5, 3.5, true), add(3, 3.5, 4.5, false), add(4, 4.5, 5.5, false), add(5, 5.5, 6.5, false);
  drop_doubtful_runs(seen.score(), seen.observations(), path);
  return path.placed.size();
}

TEST(Freedom, ANoteThatOnlyGoesOnIsNoRestart) {
  const auto played = [](bool again) {
    Recording r(7);
    r.add({0.5, 1, 67}).add({1.5, 0.5, 69});
    if (again) {
      r.add({2, 0.44, 71}).add({2.5, 1, 71});
    } else {
      r.add({2, 1.5, 71});
    }
    return r.add({3.5, 1, 72}).add({4.5, 1, 74}).add({5.5, 1, 76});
  };
  EXPECT_EQ(events_left(played(false)), 6U);
  EXPECT_EQ(events_left(played(true)), 7U);
}

// Whose partials are all the octave's too: that it begins anew does not tell which of the two does.
TEST(Freedom, ANoteBeforeThatRingsOnIsNoWrongOctave) {
  const auto state_after = [](int before) {
    auto written = melody;
    written[2] = before;
    auto played = written;
    played[3] = written[3] - 12;
    return hear_one(Tune(written), play(Tune(played), all_of(Tune(played)))).notes[3].state;
  };
  EXPECT_EQ(state_after(71), NoteState::wrong);
  EXPECT_NE(state_after(60), NoteState::wrong);
}

using Kinds = std::vector<FindingKind>;

// After a whole note a fifth of a second is a thirteenth of its time.
TEST(Freedom, ALongNoteMayLastLonger) {
  Tune tune(melody);
  for (TimelineNote& n : tune.timeline.notes) {
    n.onset = Beats(4 * n.index), n.duration = Beats(4);
  }
  Hearing h = as_written(tune);
  const Seconds due = h.notes[place].heard->onset;
  h.notes[place].heard->onset = due + Seconds(0.2);
  EXPECT_EQ(work(findings(h, tune.timeline)), Kinds{});
  h.notes[place].heard->onset = due + Seconds(0.4);
  EXPECT_EQ(work(findings(h, tune.timeline)), Kinds{FindingKind::late});
}

// A slide from note to note under one bow: neither a dip nor an attack.
TEST(Freedom, ASlideIsNotLate) {
  const auto said_after = [](int to) {
    auto pitches = melody;
    pitches[place] = to;
    Tune tune(pitches);
    tune.timeline.notes[place - 1].slur_id = tune.timeline.notes[place].slur_id = 1;
    Hearing h = as_written(tune);
    HeardNote& slid = *h.notes[place].heard;
    slid.onset += Seconds(0.2);
    slid.attack = -1.5, slid.dip = Decibels(1);
    return work(findings(h, tune.timeline));
  };
  EXPECT_EQ(said_after(71), Kinds{FindingKind::late});
  EXPECT_EQ(said_after(76), Kinds{});
}

}  // namespace
}  // namespace endpin::listen
