// Playing that the score does not tell, and rhythms other than the written one.
#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>

#include <gtest/gtest.h>

#include "endpin/listen/findings.h"

#include "align/doubtful_runs.h"
#include "seen.h"

namespace endpin::listen {
namespace {

constexpr double quarter_s = 2.0 / 3;
const std::vector<int> melody{67, 69, 71, 72, 74, 71, 67, 69, 71, 67, 74, 76,
                              78, 79, 76, 74, 72, 76, 74, 67, 69, 72, 71, 67};

std::vector<Finding> work_in(const Tune& tune, const Recording& r) {
  auto found = findings(hear_one(tune, r), tune.timeline);
  std::erase_if(found, [](const Finding& f) { return tone(f.kind) != Tone::work; });
  return found;
}

std::string words(const std::vector<Finding>& found) {
  std::string all;
  for (const Finding& f : found) all += f.says + "\n";
  return all;
}

Recording quarters(const std::vector<double>& pitches, double quarter = quarter_s) {
  Recording r(2 + quarter * static_cast<double>(pitches.size()));
  double at = 0.5;
  for (const double midi : pitches) {
    r.add({at, 0.9 * quarter, midi});
    at += quarter;
  }
  return r;
}

Recording quarters(const std::vector<int>& pitches, double quarter = quarter_s) {
  return quarters(std::vector<double>(pitches.begin(), pitches.end()), quarter);
}

std::vector<int> with(std::vector<int> pitches, std::size_t at, const std::vector<int>& put_in) {
  pitches.insert(pitches.begin() + static_cast<std::ptrdiff_t>(at), put_in.begin(), put_in.end());
  return pitches;
}

TEST(PutIn, ABarIsExtraAndNoWait) {
  const auto found = work_in(Tune(melody), quarters(with(melody, 12, {73, 70, 66, 70})));
  ASSERT_EQ(found.size(), 1U) << words(found);
  EXPECT_EQ(found[0].kind, FindingKind::extra);
}

TEST(PutIn, ABarThatBeginsLikeTheNextIsExtra) {
  const auto found = work_in(Tune(melody), quarters(with(melody, 12, {78, 70, 73, 66})));
  ASSERT_EQ(found.size(), 1U) << words(found);
  EXPECT_EQ(found[0].kind, FindingKind::extra);
  EXPECT_NEAR(found[0].from.value(), 0.5 + 12 * quarter_s, 0.1);
}

std::vector<int> long_melody() {
  std::vector<int> pitches;
  for (int i = 0; i < 96; ++i) pitches.push_back(60 + (i * i * 7 + i * 5 + i / 16) % 23);
  return pitches;
}

// What is said where `put_in` is played before the twelfth note, and the playing breaks off later.
std::vector<Finding> said_of_put_in(const std::vector<int>& put_in) {
  const auto pitches = long_melody();
  const std::vector<int> begun(pitches.begin(), pitches.begin() + 32);
  return work_in(Tune(pitches), quarters(with(begun, 12, put_in)));
}

// A long score has a place that resembles anything.
TEST(PutIn, ABarOfADistantPlaceIsExtraWhenPlayingGoesOnWhereItWas) {
  const auto there = long_melody();
  const auto found = said_of_put_in({there.begin() + 80, there.begin() + 84});
  ASSERT_EQ(found.size(), 1U) << words(found);
  EXPECT_EQ(found[0].kind, FindingKind::extra);
}

TEST(PutIn, ABarOfADistantPlaceIsExtraThoughItBeginsLikeTheNext) {
  const auto there = long_melody();
  const auto found = said_of_put_in({there[12], there[80], there[81], there[82], there[83]});
  ASSERT_EQ(found.size(), 1U) << words(found);
  EXPECT_EQ(found[0].kind, FindingKind::extra);
}

// A try before the piece is no restart.
TEST(PutIn, AFewNotesOfADistantPlaceBeforeTheFirstAreNotGoneBackFrom) {
  auto played = long_melody();
  const std::vector<int> tried(played.begin() + 80, played.begin() + 84);
  played.resize(32);
  for (const Finding& f : work_in(Tune(long_melody()), quarters(with(played, 0, tried)))) {
    EXPECT_NE(f.kind, FindingKind::restart) << f.says;
  }
}

// Six to a second: the time of one note is shorter than strokes lie apart in slow playing.
TEST(PutIn, AFastNotePlayedTwiceIsExtra) {
  constexpr double fast_s = 0.17;
  const auto found = work_in(Tune(melody, 60 / fast_s), quarters(with(melody, 12, {78}), fast_s));
  ASSERT_EQ(found.size(), 1U) << words(found);
  EXPECT_EQ(found[0].kind, FindingKind::extra);
}

// An octave of it may stand out for its first frames: no other tone than the one that follows.
TEST(PutIn, ANoteWhoseOctaveIsHeardFirstIsExtra) {
  constexpr double fast_s = 0.17, octave_s = 0.045;
  auto pitches = melody;
  pitches[11] = 69;
  const auto played = with(pitches, 12, {67});
  Recording r(2 + fast_s * static_cast<double>(played.size()));
  for (std::size_t i = 0; i < played.size(); ++i) {
    const double at = 0.5 + fast_s * static_cast<double>(i);
    const double later = i == 12 ? octave_s : 0;
    r.add({at + later, 0.9 * fast_s - later, static_cast<double>(played[i])});
    if (i == 12) r.add({at, later + 0.01, 55});
  }
  const auto found = work_in(Tune(pitches, 60 / fast_s), r);
  ASSERT_EQ(found.size(), 1U) << words(found);
  EXPECT_EQ(found[0].kind, FindingKind::extra);
}

// The events of a path through `written`, of which `played` sounds, after the search has doubted
// it.
struct Step {
  int event;
  bool jumped_to = false;
};
std::vector<Placed> left_of(const std::vector<int>& written, const std::vector<int>& played,
                            const std::vector<Step>& way) {
  const Recording r = quarters(played);
  const Seen seen(Tune(written), r);
  Path path;
  double at = 0.5;
  for (const Step& s : way) {
    path.placed.push_back({s.event, at, at + quarter_s, s.jumped_to, false, false});
    at += quarter_s;
  }
  drop_doubtful_runs(seen.score(), seen.observations(), path);
  return path.placed;
}

std::vector<int> events_of(const std::vector<Placed>& placed) {
  std::vector<int> events;
  for (const Placed& p : placed) events.push_back(p.event);
  return events;
}

// Of four notes that were followed as a try two sounded, the first of them not.
TEST(PutIn, WhatHardlySoundedWasNoTry) {
  const std::vector<Step> way{{0, true}, {1}, {2}, {3},       {4}, {5}, {6},
                              {7},       {8}, {9}, {6, true}, {7}, {8}, {9}};
  const auto with_bar = [&](std::vector<int> bar) {
    return with({melody.begin(), melody.begin() + 10}, 6, bar);
  };
  const auto no_try = left_of(melody, with_bar({61, melody[7], 80, melody[9]}), way);
  EXPECT_EQ(events_of(no_try), (std::vector{0, 1, 2, 3, 4, 5, 6, 7, 8, 9}));
  EXPECT_TRUE(no_try[6].extra_before);
  EXPECT_FALSE(no_try[6].jumped_to);
  const auto tried = left_of(melody, with_bar({melody[6], melody[7], 80, melody[9]}), way);
  EXPECT_EQ(tried.size(), way.size());
}

// The first note is wrong, and a distant place has those that were played.
TEST(PutIn, WhoGoesOnAfterTheFirstNotesHasPlayedThem) {
  auto written = long_melody();
  auto played = std::vector<int>(written.begin(), written.begin() + 12);
  played[0] += 1;
  std::copy_n(played.begin(), 4, written.begin() + 80);
  std::vector<Step> way{{80, true}, {81}, {82}, {83}, {4, true}};
  for (int event = 5; event < 12; ++event) way.push_back({event});
  const auto left = left_of(written, played, way);
  EXPECT_EQ(events_of(left), (std::vector{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11}));
  EXPECT_FALSE(left[4].jumped_to);
}

// Two notes, written with these shares of two quarters, played with those, a quarter as long as
// said.
std::vector<Finding> said_of_pair(Beats written_first, double played_first,
                                  double quarter = quarter_s) {
  Tune tune(melody, 60 / quarter);
  auto& notes = tune.timeline.notes;
  notes[9].onset = notes[8].onset + written_first;
  notes[8].duration = written_first;
  notes[9].duration = Beats(2) - written_first;
  Recording r(2 + quarter * static_cast<double>(melody.size()));
  for (std::size_t i = 0; i < melody.size(); ++i) {
    double at = static_cast<double>(i), length = 1;
    if (i == 8) length = played_first;
    if (i == 9) at = 8 + played_first, length = 2 - played_first;
    r.add({0.5 + at * quarter, 0.95 * length * quarter, static_cast<double>(melody[i])});
  }
  return work_in(tune, r);
}

TEST(PairRhythm, OneToOneForThreeToOneComesEarly) {
  const auto found = said_of_pair(Beats(3, 2), 1);
  ASSERT_EQ(found.size(), 1U) << words(found);
  EXPECT_EQ(found[0].kind, FindingKind::early);
  EXPECT_EQ(found[0].notes, std::vector{9});
}

TEST(PairRhythm, OneToOneForThreeToOneComesEarlyInFastNotes) {
  const auto found = said_of_pair(Beats(3, 2), 1, 0.175);
  ASSERT_EQ(found.size(), 1U) << words(found);
  EXPECT_EQ(found[0].kind, FindingKind::early);
  EXPECT_EQ(found[0].notes, std::vector{9});
}

TEST(PairRhythm, ThreeToOneForOneToOneComesLate) {
  const auto found = said_of_pair(Beats(1), 1.5);
  ASSERT_EQ(found.size(), 1U) << words(found);
  EXPECT_EQ(found[0].kind, FindingKind::late);
}

// Quarter and eighth over and over; after one eighth a breath. The eighth came in time.
TEST(PairRhythm, ABreathAfterAPairIsNoOtherRhythm) {
  Tune tune({67, 69, 71, 72, 74, 72, 71, 69, 67, 69, 71, 72, 74, 76, 74, 72,
             71, 69, 71, 69, 67, 69, 71, 72, 74, 72, 71, 69, 67, 66, 67, 69});
  for (TimelineNote& n : tune.timeline.notes) {
    n.onset = Beats(n.index / 2) * Beats(3, 2) + Beats(n.index % 2);
    n.duration = n.index % 2 == 0 ? Beats(1) : Beats(1, 2);
  }
  Hearing h = as_written(tune);
  for (NoteHearing& n : h.notes) {
    n.heard->confidence = 0.99;
    if (n.index >= 14) n.heard->onset = n.heard->onset + Seconds(0.27);
  }
  EXPECT_EQ(work(findings(h, tune.timeline)), std::vector<FindingKind>{});
}

// The tones ring into each other: what is expected of their lengths would draw the second late.
TEST(PairRhythm, OneToOneForThreeToOneIsPlacedWhereItBeginsInTonesThatRing) {
  constexpr double each_s = 0.16;
  Tune tune(melody, 60 / each_s);
  auto& notes = tune.timeline.notes;
  notes[13].onset = notes[12].onset + Beats(3, 2);
  notes[12].duration = Beats(3, 2);
  notes[13].duration = Beats(1, 2);
  Recording r(2 + each_s * static_cast<double>(melody.size()));
  for (std::size_t i = 0; i < melody.size(); ++i) {
    const double at_s = 0.5 + each_s * static_cast<double>(i);
    r.add({at_s, 1.4 * each_s, static_cast<double>(melody[i])});
  }
  const Hearing h = hear_one(tune, r);
  for (std::size_t i = 12; i <= 14; ++i) {
    ASSERT_TRUE(h.notes[i].heard) << i;
    EXPECT_NEAR(h.notes[i].heard->onset.value(), 0.5 + each_s * static_cast<double>(i), 0.015) << i;
  }
}

TEST(PairRhythm, WhatIsPlayedAsWrittenIsNotNamed) {
  EXPECT_TRUE(said_of_pair(Beats(3, 2), 1.5).empty());
  EXPECT_TRUE(said_of_pair(Beats(3, 2), 1.42).empty());
  EXPECT_TRUE(said_of_pair(Beats(1), 1.1).empty());
}

// The tone before comes back in the time of the note after it, as loud as that.
TEST(PutIn, TheToneBeforeOnceMoreIsExtra) {
  Recording r(2 + quarter_s * static_cast<double>(melody.size()));
  for (std::size_t i = 0; i < melody.size(); ++i) {
    const double at = 0.5 + static_cast<double>(i) * quarter_s;
    const double length = i == 9 ? 0.5 : 0.95;
    r.add({at, length * quarter_s, static_cast<double>(melody[i])});
    if (i == 9) r.add({at + 0.5 * quarter_s, 0.47 * quarter_s, static_cast<double>(melody[8])});
  }
  const auto found = work_in(Tune(melody), r);
  ASSERT_EQ(found.size(), 1U) << words(found);
  EXPECT_EQ(found[0].kind, FindingKind::extra);
  EXPECT_EQ(found[0].notes.front(), 9);
}

// A half note is written; another tone is played for the last `other_s` of it.
std::vector<Finding> said_of_half_taken(int other, double level, double other_s = quarter_s) {
  Tune tune(melody);
  auto& notes = tune.timeline.notes;
  notes.erase(notes.begin() + 9);
  notes[8].duration = Beats(2);
  for (std::size_t i = 9; i < notes.size(); ++i) notes[i].index = static_cast<int>(i);
  Recording r(2 + quarter_s * static_cast<double>(melody.size()));
  for (std::size_t i = 0; i < melody.size(); ++i) {
    double at = 0.5 + static_cast<double>(i) * quarter_s, length = quarter_s;
    if (i == 8) length += quarter_s - other_s;
    if (i == 9) at += quarter_s - other_s, length = other_s;
    r.add(
        {at, 0.97 * length, static_cast<double>(i == 9 ? other : melody[i]), i == 9 ? level : 0.2});
  }
  return work_in(tune, r);
}

// Also where it lies so that an open string or a partial might resonate, beside the note, or is
// soft.
TEST(PutIn, ATonePlayedInTheRestOfANotesTimeIsExtra) {
  const int written = melody[8];
  for (const int away : {-7, -5, -4, -2, 2, 5, 7}) {
    const auto found = said_of_half_taken(written + away, 0.1);
    ASSERT_EQ(found.size(), 1U) << away << "\n" << words(found);
    EXPECT_EQ(found[0].kind, FindingKind::extra) << away;
    EXPECT_EQ(found[0].notes.front(), 8);
  }
}

// Shorter than noise that happens to have a pitch, but after a note, and beginning anew.
TEST(PutIn, ATenthOfASecondOfAToneAfterANoteIsExtra) {
  for (const int away : {-4, -2, 2, 5}) {
    const auto found = said_of_half_taken(melody[8] + away, 0.2, 0.1);
    ASSERT_EQ(found.size(), 1U) << away << "\n" << words(found);
    EXPECT_EQ(found[0].kind, FindingKind::extra) << away;
  }
}

// The octave of a note may stand out before the note itself does.
TEST(PutIn, TheOctaveOfTheNextNoteRightBeforeItIsNotExtra) {
  EXPECT_TRUE(said_of_half_taken(melody[10] + 12, 0.2, 0.1).empty());
}

TEST(PutIn, ASoftToneASemitoneFromANoteInTuneIsExtra) {
  for (const int away : {-1, 1}) {
    const auto found = said_of_half_taken(melody[8] + away, 0.06);
    ASSERT_EQ(found.size(), 1U) << away << "\n" << words(found);
    EXPECT_EQ(found[0].kind, FindingKind::extra) << away;
  }
}

// The tone before once more, while it still rang softly: it is not louder at once, but struck, and
// louder than what rang.
TEST(PutIn, TheToneBeforeStruckAgainWhileItRingsIsExtra) {
  Recording r(2 + quarter_s * static_cast<double>(melody.size()));
  for (std::size_t i = 0; i < melody.size(); ++i) {
    const double at = 0.5 + static_cast<double>(i) * quarter_s, midi = melody[i];
    r.add({at, (i == 9 ? 0.5 : 0.95) * quarter_s, midi});
    if (i != 9) continue;
    const double before = melody[8];
    r.add({at, 0.5 * quarter_s, before, 0.02});
    r.add({at + 0.5 * quarter_s, 0.47 * quarter_s, before, 0.08});
  }
  const auto found = work_in(Tune(melody), r);
  ASSERT_EQ(found.size(), 1U) << words(found);
  EXPECT_EQ(found[0].kind, FindingKind::extra);
  EXPECT_EQ(found[0].notes.front(), 9);
}

// Two notes under one bow, between which another is played for a tenth of a second: it begins
// without a stroke.
TEST(PutIn, ATenthOfASecondOfAToneInTheBowIsExtra) {
  Tune tune(melody);
  tune.timeline.notes[8].slur_id = tune.timeline.notes[9].slur_id = 1;
  tune.timeline.notes[8].stroke_id = tune.timeline.notes[9].stroke_id = 1;
  Recording r(2 + quarter_s * static_cast<double>(melody.size()));
  for (std::size_t i = 0; i < melody.size(); ++i) {
    const double at = 0.5 + static_cast<double>(i) * quarter_s, midi = melody[i];
    const double length = i == 8 ? quarter_s - 0.08 : i == 9 ? quarter_s : 0.95 * quarter_s;
    r.add({at, length, midi});
    if (i == 8) r.add({at + quarter_s - 0.11, 0.14, midi - 2});
  }
  const auto found = work_in(tune, r);
  ASSERT_EQ(found.size(), 1U) << words(found);
  EXPECT_EQ(found[0].kind, FindingKind::extra);
}

// The middle of all that sounds in the note's time is half way between the two.
TEST(PutIn, AStruckToneNearlyASemitoneFromANoteInItsPlaceIsExtra) {
  Recording r(2 + quarter_s * static_cast<double>(melody.size()));
  for (std::size_t i = 0; i < melody.size(); ++i) {
    const double at = 0.5 + static_cast<double>(i) * quarter_s, midi = melody[i];
    r.add({at, (i == 9 ? 0.45 : 0.95) * quarter_s, i == 9 ? midi + 0.15 : midi});
    if (i == 9) r.add({at + 0.45 * quarter_s, 0.5 * quarter_s, midi - 0.62});
  }
  const auto found = work_in(Tune(melody), r);
  ASSERT_EQ(found.size(), 1U) << words(found);
  EXPECT_EQ(found[0].kind, FindingKind::extra);
}

// Nearly half a semitone low, then a little more: it rounds to the semitone below.
TEST(PutIn, ANoteHalfASemitoneLowIsNoToneBelowIt) {
  Recording r = quarters(melody);
  const double at = 0.5 + 5 * quarter_s;
  std::fill(r.samples().begin() + static_cast<std::ptrdiff_t>(at * Recording::rate),
            r.samples().begin() + static_cast<std::ptrdiff_t>((at + quarter_s) * Recording::rate),
            0.0F);
  r.add({at, 0.22, melody[5] - 0.4}).add({at + 0.2, 0.4, melody[5] - 0.6});
  for (const Finding& f : work_in(Tune(melody), r)) EXPECT_NE(f.kind, FindingKind::extra) << f.says;
}

// A violin's lowest string is G3: somebody spoke, or a chair did.
TEST(PutIn, WhatNoStringReachesIsNotExtra) {
  const Tune tune(melody);
  const auto says_extra = [&](int midi) {
    Hearing hearing = hear_one(tune, quarters(melody));
    hearing.extra = {{Seconds(8.2), Seconds(8.5), midi, 11}};
    const auto found = findings(hearing, tune.timeline);
    return std::any_of(found.begin(), found.end(),
                       [](const Finding& f) { return f.kind == FindingKind::extra; });
  };
  EXPECT_TRUE(says_extra(56));
  EXPECT_FALSE(says_extra(43));
}

// A held tone from a frequency to another, its partials as a voice's.
void speak(Recording& r, double from_s, double to_s, double from_hz, double to_hz) {
  double phase = 0;
  const auto end = static_cast<std::size_t>(to_s * Recording::rate);
  for (auto i = static_cast<std::size_t>(from_s * Recording::rate); i < end; ++i) {
    const double t = static_cast<double>(i) / Recording::rate;
    const double share = (t - from_s) / (to_s - from_s);
    const double level = 0.2 * std::min({1.0, (t - from_s) / 0.03, (to_s - t) / 0.03});
    phase += 2 * std::numbers::pi * from_hz * std::pow(to_hz / from_hz, share) / Recording::rate;
    for (int h = 1; h <= 10; ++h) {
      r.samples()[i] += static_cast<float>(level / h * std::sin(h * phase));
    }
  }
}

// One tone, half way to the next semitone, is one note: neither is its other name put in, nor does
// its flickering between the two make a passage.
TEST(PutIn, ANoteHalfASemitoneOffIsNoOtherTone) {
  for (const double off : {-0.56, -0.48, 0.46, 0.54}) {
    for (const std::size_t at : {std::size_t{5}, std::size_t{11}}) {
      std::vector<double> sounding(melody.begin(), melody.end());
      sounding[at] += off;
      for (const Finding& f : work_in(Tune(melody), quarters(sounding))) {
        EXPECT_NE(f.kind, FindingKind::extra) << off << ' ' << at << ' ' << f.says;
      }
    }
  }
}

// Instead of the second half of a note somebody speaks: his voice falls by more than a semitone.
TEST(PutIn, AVoiceThatFallsIsNoTone) {
  const auto said = [](double from_hz, double to_hz) {
    Recording r = quarters(melody);
    const double at = 0.5 + 5 * quarter_s;
    std::fill(r.samples().begin() + static_cast<std::ptrdiff_t>((at + 0.2) * Recording::rate),
              r.samples().begin() + static_cast<std::ptrdiff_t>((at + quarter_s) * Recording::rate),
              0.0F);
    speak(r, at + 0.22, at + 0.62, from_hz, to_hz);
    const auto found = work_in(Tune(melody), r);
    return std::any_of(found.begin(), found.end(),
                       [](const Finding& f) { return f.kind == FindingKind::extra; });
  };
  const double hz = 440 * std::exp2((66 - 69) / 12.0);
  EXPECT_TRUE(said(hz, hz));
  EXPECT_FALSE(said(hz * 1.04, hz / 1.04));
}

}  // namespace
}  // namespace endpin::listen
