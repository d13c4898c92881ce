#include "endpin/lesson/arrange.h"

#include <gtest/gtest.h>

#include "tune_of_chance.h"

namespace endpin {
namespace {

SpelledPitch p(const char* text) { return SpelledPitch::parse(text).value(); }

// Same pitch classes (moved by the key) at the same time, every other thing as it was.
TEST(PartFor, SoundsTheSameTuneOnEveryInstrumentInEveryKey) {
  unsigned seed = 1;
  for (int fifths = -7; fifths <= 7; ++fifths) {
    for (const InstrumentKind from : all_instruments) {
      ++seed;
      const ChanceTune tune =
          chance_tune(seed, instrument(from), "first-position", fifths, seed % 2 == 0, metre(4, 4));
      for (const InstrumentKind to : all_instruments) {
        for (const int move : {0, -1, 2}) {
          if (std::abs(fifths + move) > 7) continue;
          Score score = tune.score;
          score.parts[0] = part_for(tune.score.parts[0], instrument(from).name, instrument(to),
                                    "first-position", move);
          const Timeline moved = timeline(score, 0, instrument(to).name).value();
          ASSERT_EQ(moved.notes.size(), tune.timeline.notes.size());
          EXPECT_EQ(moved.fifths, fifths + move);
          int as_it_was = 0;
          for (std::size_t i = 0; i < moved.notes.size(); ++i) {
            const int shift = moved.notes[i].midi - tune.timeline.notes[i].midi;
            EXPECT_EQ(((shift - 7 * move) % 12 + 12) % 12, 0);
            EXPECT_GE(moved.notes[i].midi, instrument(to).lowest_midi());
            EXPECT_LE(moved.notes[i].midi, instrument(to).highest_midi);
            const int first = moved.notes[0].midi - tune.timeline.notes[0].midi;
            as_it_was += shift == first ? 1 : 0;
            EXPECT_EQ(moved.notes[i].onset, tune.timeline.notes[i].onset);
            EXPECT_EQ(moved.notes[i].id, tune.timeline.notes[i].id);
          }
          // A tune of the same hand is never folded.
          if (from == to && move == 0) {
            EXPECT_EQ(as_it_was, static_cast<int>(moved.notes.size()));
          }
        }
      }
    }
  }
}

TEST(PartFor, PutsACelloTuneWhereAViolinIsPlayed) {
  const Ground ground = chance_ground(instrument(InstrumentKind::cello), 2, false, metre(4, 4));
  const Phrase line{line_note(p("D3"), 1), line_note(p("F#3"), 1), line_note(p("A3"), 1),
                    line_note(p("A2"), 1)};
  const Score score = exercise_score(ground, lay_into_bars({line}, metre(4, 4)), "n");
  const Part violin =
      part_for(score.parts[0], "cello", instrument(InstrumentKind::violin), "first-position");
  EXPECT_EQ(violin.name, "Violin");
  EXPECT_EQ(violin.bars[0].changes[0].clef.sign, ClefSign::g);
  // D4 F#4 A4 A3: all in first position, an octave higher.
  EXPECT_EQ(violin.bars[0].notes[0].pitch, p("D4"));
  EXPECT_EQ(violin.bars[0].notes[3].pitch, p("A3"));
}

}  // namespace
}  // namespace endpin
