#include "endpin/score/mend.h"

#include <gtest/gtest.h>

#include "endpin/score/check.h"
#include "endpin/score/unfold.h"

#include "made.h"

namespace endpin {
namespace {

using namespace test;

SpelledPitch p(const char* text) { return SpelledPitch::parse(text).value(); }

Note noted(const std::string& id, const char* pitch, Beats onset) {
  Note note = quarter(pitch, onset);
  note.id = id;
  note.written = WrittenDuration{};
  return note;
}

/// Two bars of 4/4: "a" to "h", D E F# G A G F# E.
Score tune() {
  Score score;
  Part part = bars(2);
  Change metre;
  metre.kind = ChangeKind::time;
  part.bars[0].changes.push_back(metre);
  const char* pitches[] = {"D3", "E3", "F#3", "G3", "A3", "G3", "F#3", "E3"};
  for (int i = 0; i < 8; ++i) {
    auto& notes = part.bars[static_cast<std::size_t>(i / 4)].notes;
    if (i % 4 == 0) notes.clear();
    notes.push_back(noted(std::string(1, static_cast<char>('a' + i)), pitches[i], Beats(i % 4)));
  }
  score.parts.push_back(std::move(part));
  return score;
}

Mend of(const char* id) {
  Mend mend;
  mend.id = id;
  return mend;
}

std::string ids(const Bar& bar) {
  std::string text;
  for (const Note& note : bar.notes) text += note.id;
  return text;
}

TEST(Mended, NothingIsTheScoreAsItWasRead) {
  EXPECT_EQ(mended(tune(), {}), tune());
  EXPECT_EQ(mended(tune(), {of("nobody")}), tune());
}

TEST(Mended, APitchLeavesEverythingElse) {
  Mend mend = of("c");
  mend.pitch = p("F3");
  Score after = mended(tune(), {mend});
  EXPECT_EQ(find_note(after, "c")->pitch, p("F3"));
  after.parts[0].bars[0].notes[2].pitch = p("F#3");
  EXPECT_EQ(after, tune());
}

TEST(Mended, AValueMovesWhatFollowsAndTheBarIsQueriedUntilItAddsUp) {
  Mend shorter = of("b");
  shorter.value = NoteValue::eighth;
  const Score open = mended(tune(), {shorter});
  const Bar& bar = open.parts[0].bars[0];
  EXPECT_EQ(bar.length, Beats(7, 2));
  EXPECT_EQ(bar.notes[2].onset, Beats(3, 2));
  // A pickup is the only short first bar that is in order: the second one is queried instead.
  Mend longer = of("f");
  longer.value = NoteValue::half;
  const Score over = mended(tune(), {longer});
  ASSERT_EQ(over.warnings.size(), 1U);
  EXPECT_EQ(over.warnings[0].what, "bar 2, voice 1 lasts 5 beats but 4/4 needs 4");
  Mend gone = of("h");
  gone.removed = true;
  EXPECT_TRUE(mended(tune(), {longer, gone}).warnings.empty());
}

TEST(Mended, DottedRhythmAddsUp) {
  Mend dotted = of("a");
  dotted.dots = 1;
  Mend eighth = of("b");
  eighth.value = NoteValue::eighth;
  const Score after = mended(tune(), {dotted, eighth});
  EXPECT_EQ(after.parts[0].bars[0].length, Beats(4));
  EXPECT_EQ(find_note(after, "a")->duration, Beats(3, 2));
  EXPECT_EQ(find_note(after, "b")->onset, Beats(3, 2));
  EXPECT_EQ(find_note(after, "c")->onset, Beats(2));
}

TEST(Mended, ATieSoundsAtOnePitch) {
  Score score = tune();
  Note& d = score.parts[0].bars[0].notes[3];
  Note& e = score.parts[0].bars[1].notes[0];
  e.pitch = d.pitch;
  d.tie_start = e.tie_stop = true;
  for (const char* chosen : {"d", "e"}) {
    Mend mend = of(chosen);
    mend.pitch = p("B3");
    const Score after = mended(score, {mend});
    EXPECT_EQ(find_note(after, "d")->pitch, p("B3")) << chosen;
    EXPECT_EQ(find_note(after, "e")->pitch, p("B3")) << chosen;
    EXPECT_EQ(timeline(after, 0, "cello")->notes.size(), 7U);
  }
}

TEST(Mended, ASlurHoldsOnToTheNeighbourOfWhatWentAway) {
  Score score = tune();
  score.parts[0].bars[0].notes[0].slurs = {{1, true}};
  score.parts[0].bars[0].notes[2].slurs = {{1, false}};
  Mend first = of("a");
  first.rest = true;
  Score after = mended(score, {first});
  EXPECT_TRUE(find_note(after, "a")->is_rest());
  EXPECT_EQ(find_note(after, "b")->slurs, (std::vector<SlurEnd>{{1, true}}));
  Mend last = of("c");
  last.removed = true;
  after = mended(score, {first, last});
  EXPECT_TRUE(find_note(after, "b")->slurs.empty());
}

TEST(Mended, ARestBecomesANoteAndANoteARest) {
  Mend rest = of("b");
  rest.rest = true;
  const Score silent = mended(tune(), {rest});
  EXPECT_EQ(timeline(silent, 0, "cello")->notes.size(), 7U);
  Mend note = of("b");
  note.pitch = p("C#3");
  const Score again = mended(silent, {note});
  EXPECT_EQ(find_note(again, "b")->pitch, p("C#3"));
  EXPECT_EQ(timeline(again, 0, "cello")->notes.size(), 8U);
}

TEST(Mended, ANewNoteStandsBehindTheOneItWasGivenAndCanBeMendedItself) {
  Mend half = of("a");
  half.value = NoteValue::eighth;
  Mend added = of("new");
  added.after = "a";
  added.pitch = p("E3");
  added.value = NoteValue::eighth;
  const Score after = mended(tune(), {half, added});
  EXPECT_EQ(ids(after.parts[0].bars[0]), "anewbcd");
  EXPECT_EQ(after.parts[0].bars[0].length, Beats(4));
  EXPECT_EQ(find_note(after, "new")->onset, Beats(1, 2));
}

TEST(Mended, WhatStoodBehindARemovedNoteStays) {
  Mend gone = of("a");
  gone.removed = true;
  Mend added = of("new");
  added.after = "a";
  added.pitch = p("E3");
  EXPECT_EQ(ids(mended(tune(), {gone, added}).parts[0].bars[0]), "newbcd");
}

TEST(Mended, AChordKeepsTogether) {
  Score score = tune();
  Note upper = noted("chord", "C4", Beats(1));
  upper.in_chord = true;
  auto& notes = score.parts[0].bars[0].notes;
  notes.insert(notes.begin() + 2, upper);
  Mend value = of("chord");
  value.value = NoteValue::half;
  const Score longer = mended(score, {value});
  EXPECT_EQ(find_note(longer, "b")->duration, Beats(2));
  EXPECT_EQ(find_note(longer, "c")->onset, Beats(3));
  Mend gone = of("b");
  gone.removed = true;
  const Score single = mended(score, {gone});
  EXPECT_FALSE(find_note(single, "chord")->in_chord);
  EXPECT_EQ(find_note(single, "c")->onset, Beats(2));
}

}  // namespace
}  // namespace endpin
