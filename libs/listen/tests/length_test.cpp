// How long notes sound and whether strokes are apart: of hearings written down here, and of sound.
#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "endpin/listen/findings.h"

#include "played.h"

namespace endpin::listen {
namespace {

const std::vector<int> melody{67, 69, 71, 72, 74, 72, 67, 69, 71, 67, 74, 76, 78, 79, 76, 74};

std::vector<FindingKind> said(const Hearing& h, const Tune& tune) {
  return work(findings(h, tune.timeline));
}
using Kinds = std::vector<FindingKind>;

HeardNote& sound(Hearing& h, std::size_t i) { return *h.notes[i].heard; }

TEST(Lengths, ADottedNoteThatKeepsItsLevelRunsIntoTheNext) {
  Tune tune(melody);
  tune.timeline.notes[4].articulation = Articulation::staccato;
  Hearing h = as_written(tune);
  sound(h, 4).sounding_ratio = 1.0;
  sound(h, 4).gap = Seconds(0);
  EXPECT_EQ(said(h, tune), Kinds{FindingKind::not_separated});
  sound(h, 4).fall = Decibels(12);  // a room rang on where the bow had left
  EXPECT_EQ(said(h, tune), Kinds{});
  sound(h, 4).fall.reset();
  EXPECT_EQ(said(h, tune), Kinds{});
}

TEST(Lengths, AShortNoteMustSoundAndThenFallSilent) {
  const Tune tune(melody);
  Hearing h = as_written(tune);
  HeardNote& n = sound(h, 4);
  n.offset = n.onset + Seconds(0.25);
  n.sounding_ratio = 0.37;
  n.gap = Seconds(0.4);
  n.fall = Decibels(25);
  EXPECT_EQ(said(h, tune), Kinds{FindingKind::short_held});
  n.fall = Decibels(3);  // it goes on after all
  EXPECT_EQ(said(h, tune), Kinds{});
  n.fall = Decibels(25);
  n.offset = n.onset + Seconds(0.06);  // an attack alone
  n.sounding_ratio = 0.09;
  EXPECT_EQ(said(h, tune), Kinds{});
}

// Notes 4 and 5 in one bow.
Tune with_slur(std::vector<int> midi) {
  Tune tune(std::move(midi));
  for (const std::size_t i : {4U, 5U}) tune.timeline.notes[i].slur_id = 1;
  return tune;
}

TEST(Slurs, StrokesOfTheirOwnAreHeardOnOneString) {
  const Tune tune = with_slur(melody);  // D5 C5, on the A string
  Hearing h = as_written(tune);
  EXPECT_EQ(said(h, tune), Kinds{});
  sound(h, 5).dip = Decibels(15);
  sound(h, 5).attack = 2.5;
  EXPECT_EQ(said(h, tune), Kinds{FindingKind::slur_not_played});
  sound(h, 5).attack = 0.5;
  EXPECT_EQ(said(h, tune), Kinds{});
  sound(h, 4).gap = Seconds(0.09);  // a soft stroke, but after a silence
  EXPECT_EQ(said(h, tune), Kinds{FindingKind::slur_not_played});
}

// Of more than two, single strokes may be softer.
TEST(Slurs, OfThreeNotesStrokesMustBeLikelyThroughout) {
  Tune tune = with_slur(melody);
  tune.timeline.notes[6].slur_id = 1;
  Hearing h = as_written(tune);
  sound(h, 5).dip = Decibels(15);
  sound(h, 5).attack = 2.5;
  sound(h, 6).dip = Decibels(9);
  sound(h, 6).attack = 1.2;
  EXPECT_EQ(said(h, tune), Kinds{FindingKind::slur_not_played});
  sound(h, 6).dip = Decibels(3);
  EXPECT_EQ(said(h, tune), Kinds{});
}

// The bow that rests lets the tone die away well before the next begins; one that turns, and a
// string that is left for another, do not.
TEST(Slurs, ToneThatDiesAwayBeforeTheNextIsAGap) {
  const Tune tune = with_slur(melody);
  Hearing h = as_written(tune);
  sound(h, 4).fall = Decibels(12);
  sound(h, 5).dip = Decibels(11);
  EXPECT_EQ(said(h, tune), Kinds{FindingKind::gap_in_slur});
  sound(h, 4).fall = Decibels(9);  // who sings comes as far
  EXPECT_EQ(said(h, tune), Kinds{});
}

// The tone breaks off in the best of slurs where the bow changes the string.
TEST(Slurs, AreNotJudgedAcrossStrings) {
  auto across = melody;
  across[5] = 67;  // D5 on the A string, G4 on the D string
  const Tune tune = with_slur(across);
  Hearing h = as_written(tune);
  sound(h, 5).dip = Decibels(32);
  sound(h, 5).attack = 3.5;
  EXPECT_EQ(said(h, tune), Kinds{});
}

TEST(Slurs, ABowThatRestsSinksTheToneDeeperThanOneThatTurns) {
  const Tune tune = with_slur(melody);
  Hearing h = as_written(tune);
  sound(h, 5).dip = Decibels(32);
  sound(h, 5).attack = 3.5;
  EXPECT_EQ(said(h, tune), Kinds{FindingKind::gap_in_slur});
}

TEST(Rhythms, APairPlayedEvenWhereItIsWrittenThreeToOne) {
  Tune tune(melody);
  auto& notes = tune.timeline.notes;
  notes[5].onset += Beats(1, 2);
  notes[4].duration = Beats(3, 2);
  notes[5].duration = Beats(1, 2);
  Hearing h = as_written(tune);
  EXPECT_EQ(said(h, tune), Kinds{});
  sound(h, 5).onset = sound(h, 5).onset - Seconds(0.5 * beat_s);
  EXPECT_EQ(said(h, tune), Kinds{FindingKind::early});
  sound(h, 5).attack = -1;  // its place is a guess
  sound(h, 5).dip = Decibels(1);
  EXPECT_EQ(said(h, tune), Kinds{});
}

// Four bars of four pairs: bar 2 has the pitches of bar 1, which is written long and short, as bars
// 3 and 4 are unless they are `even`. All is heard as written but bar 2, which is played as bar 1.
struct Swung {
  Tune tune;
  Hearing h;
  explicit Swung(bool even) : tune(pitches()) {
    auto& notes = tune.timeline.notes;
    tune.timeline.bars.resize(4);
    for (std::size_t i = 0; i < notes.size(); ++i) {
      notes[i].onset = Beats(static_cast<std::int64_t>(i), 2);
      notes[i].duration = Beats(1, 2);
      notes[i].bar = std::to_string(i / 8 + 1);
    }
    for (std::size_t i = 0; i < notes.size(); i += 2) {
      if (i / 8 == 1 || (i / 8 > 1 && even)) continue;
      notes[i].duration = Beats(3, 4), notes[i + 1].duration = Beats(1, 4);
      notes[i + 1].onset += Beats(1, 4);
    }
    h = as_written(tune);
    for (std::size_t i = 9; i < 16; i += 2) play_late(i);
  }
  // The second of a pair, as three to one.
  void play_late(std::size_t i) {
    sound(h, static_cast<int>(i)).onset =
        sound(h, static_cast<int>(i)).onset + Seconds(0.25 * beat_s);
  }
  static std::vector<int> pitches() {
    const std::vector<int> bar{67, 69, 71, 72, 74, 72, 71, 69};
    const std::vector<int> other{74, 76, 78, 79, 78, 76, 74, 71};
    std::vector<int> all = bar;
    all.insert(all.end(), bar.begin(), bar.end());
    for (int k = 0; k < 2; ++k) all.insert(all.end(), other.begin(), other.end());
    return all;
  }
};

std::vector<int> uneven_notes(const Swung& played) {
  std::vector<int> notes;
  for (const Finding& f : findings(played.h, played.tune.timeline)) {
    if (f.kind == FindingKind::uneven) notes.insert(notes.end(), f.notes.begin(), f.notes.end());
  }
  return notes;
}

TEST(Rhythms, OfAnotherBarAreNotCalledUnevenAsWell) {
  const Swung played(false);
  EXPECT_EQ(said(played.h, played.tune), Kinds{FindingKind::other_bar_rhythm});
}

TEST(Rhythms, PairsPlayedLongAndShortAreUneven) {
  Swung played(true);
  EXPECT_EQ(uneven_notes(played), std::vector<int>{});
  for (std::size_t i = 17; i < 32; i += 2) played.play_late(i);
  EXPECT_EQ(uneven_notes(played),
            (std::vector{16, 17, 18, 19, 20, 21, 22, 23, 24, 25, 26, 27, 28, 29}));
}

TEST(Rhythms, APairThatAFermataHoldsIsNoneOfTheUneven) {
  Swung played(true);
  for (std::size_t i = 17; i < 32; i += 2) played.play_late(i);
  played.tune.timeline.notes[20].fermata = true;
  EXPECT_EQ(uneven_notes(played), (std::vector{22, 23, 24, 25, 26, 27, 28, 29}));
}

// A scrap of sound at the end of a long note is no early beginning of the next.
TEST(Rhythms, ANoteThatHardlySoundsIsNotEarly) {
  const Tune tune(melody);
  Hearing h = as_written(tune);
  HeardNote& n = sound(h, 6);
  n.onset = n.onset - Seconds(0.5 * beat_s);
  EXPECT_EQ(said(h, tune), Kinds{FindingKind::early});
  n.offset = n.onset + Seconds(0.06);
  n.sounding_ratio = 0.09;
  EXPECT_EQ(said(h, tune), Kinds{});
}

// Every note half its beat, `whole` the whole of it.
Recording staccato(const Tune& tune, std::size_t whole) {
  Recording r(0.5 + beat_s * static_cast<double>(melody.size()) + 0.7);
  for (std::size_t i = 0; i < melody.size(); ++i) {
    r.add({0.5 + beat_s * static_cast<double>(i), (i == whole ? 1 : 0.5) * beat_s,
           static_cast<double>(tune.timeline.notes[i].midi)});
  }
  return r;
}

TEST(Lengths, FallTellsABowThatStaysFromOneThatLeaves) {
  Tune tune(melody);
  for (TimelineNote& n : tune.timeline.notes) n.articulation = Articulation::staccato;
  Hearing h = hear_one(tune, staccato(tune, 8));
  add_findings(h, std::span(&tune.timeline, 1));
  for (std::size_t i = 0; i + 1 < melody.size(); ++i) {
    ASSERT_TRUE(h.notes[i].heard && h.notes[i].heard->fall) << i;
    if (i == 8) {
      EXPECT_LT(h.notes[i].heard->fall->value(), 1.8);
    } else {
      EXPECT_GT(h.notes[i].heard->fall->value(), 10) << i;
    }
  }
  const bool told = std::any_of(h.findings.begin(), h.findings.end(), [](const Finding& f) {
    return f.kind == FindingKind::not_separated && f.notes == std::vector{8};
  });
  EXPECT_TRUE(told);
}

// Nothing follows the last note by which to hear how long it ought to be, but what is written.
TEST(Lengths, ALastNoteEndsWhereItIsDue) {
  const Tune tune(melody);
  const auto kinds_with_last_for = [&](double beats, double file_s) {
    Recording r(file_s);
    for (std::size_t i = 0; i < melody.size(); ++i) {
      const double length = (i + 1 == melody.size() ? beats : 0.95) * beat_s;
      r.add({0.5 + beat_s * static_cast<double>(i), length, static_cast<double>(melody[i])});
    }
    return said(hear_one(tune, r), tune);
  };
  const double end_s = 0.5 + beat_s * static_cast<double>(melody.size());
  EXPECT_EQ(kinds_with_last_for(0.4, end_s + 1), Kinds{FindingKind::short_held});
  EXPECT_EQ(kinds_with_last_for(0.95, end_s + 1), Kinds{});
  // The recording was stopped while it sounded: nobody knows.
  EXPECT_EQ(kinds_with_last_for(0.4, end_s - 0.58 * beat_s), Kinds{});
}

// Who stops before the end has not left out the note that would have come next.
TEST(Lengths, WhereItStopsNothingIsMissed) {
  const Tune tune(melody);
  for (const std::size_t played : {6U, 9U, 11U}) {
    const double stopped_s = 0.5 + beat_s * (static_cast<double>(played) - 0.2);
    Recording r(stopped_s + 1.3);
    for (int k = 0; k < 12; ++k) {  // a room dies away
      r.add({stopped_s - 0.03 + 0.05 * k, 0.08, static_cast<double>(melody[played - 1]),
             0.08 * std::exp(-0.6 * k)});
    }
    for (std::size_t i = 0; i < played; ++i) {
      r.add({0.5 + beat_s * static_cast<double>(i), 0.8 * beat_s, static_cast<double>(melody[i])});
    }
    EXPECT_EQ(said(hear_one(tune, r), tune), Kinds{}) << played;
  }
}

TEST(Lengths, AShortNoteBeginsSurelyAndNothingElseFillsItsTime) {
  const Tune tune(melody);
  Hearing h = as_written(tune);
  HeardNote& n = sound(h, 4);
  n.offset = n.onset + Seconds(0.25);
  n.sounding_ratio = 0.37;
  n.gap = Seconds(0.4);
  n.fall = Decibels(25);
  n.attack = 0;
  n.dip = Decibels(3);  // it may have been placed late
  EXPECT_EQ(said(h, tune), Kinds{});
  n.attack = 2;
  h.extra.push_back({n.onset + Seconds(0.3), n.onset + Seconds(0.6), 60, 4});
  EXPECT_EQ(said(h, tune), Kinds{FindingKind::extra});
}

// A telephone that is set for silence lets the first moment through loud and then turns it down.
TEST(Lengths, GainControlMakesNoNoteShort) {
  const Tune tune(melody);
  Recording r = play(tune, all_of(tune));
  r.add({0.5, 0.07, 67, 1.2});
  Hearing h = hear_one(tune, r);
  add_findings(h, std::span(&tune.timeline, 1));
  for (const Finding& f : h.findings) EXPECT_NE(f.kind, FindingKind::short_held) << f.says;
}

// Something that always sounds (a string that rings on, a fan) hides the silence after a note, but
// not the end of the note's own partials.
TEST(Lengths, ANoteEndsWhereItsOwnPartialsDo) {
  const Tune tune(melody);
  Recording r(12.5);
  r.add({0.3, 12, 43.5, 0.02});
  const auto length = [](std::size_t i) { return (i % 3 == 1 ? 0.6 : 0.95) * beat_s; };
  const auto begin = [](std::size_t i) { return 0.5 + beat_s * static_cast<double>(i); };
  for (std::size_t i = 0; i < melody.size(); ++i) {
    r.add({begin(i), length(i), static_cast<double>(melody[i])});
  }
  const Hearing h = hear_one(tune, r);
  for (std::size_t i = 0; i + 1 < melody.size(); ++i) {
    ASSERT_TRUE(h.notes[i].heard && h.notes[i].heard->offset) << i;
    EXPECT_NEAR(h.notes[i].heard->offset->value(), begin(i) + length(i), 0.05) << i;
  }
}

}  // namespace
}  // namespace endpin::listen
