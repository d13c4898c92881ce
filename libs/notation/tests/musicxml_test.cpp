#include <gtest/gtest.h>

#include "endpin/notation/read.h"
#include "endpin/score/unfold.h"

namespace endpin {
namespace {

std::string score_of(std::string_view measures) {
  return "<?xml version=\"1.0\"?>\n<score-partwise version=\"4.0\"><part-list><score-part "
         "id=\"P1\">"
         "<part-name>Cello</part-name></score-part></part-list><part id=\"P1\">" +
         std::string(measures) + "</part></score-partwise>";
}

Score read(std::string_view measures) {
  auto score = read_score(score_of(measures), {"test.musicxml", {}});
  EXPECT_TRUE(score) << score.error().line();
  return *score;
}

std::string note(std::string_view step, int octave, int duration, std::string_view more = "") {
  return "<note><pitch><step>" + std::string(step) + "</step><octave>" + std::to_string(octave) +
         "</octave></pitch><duration>" + std::to_string(duration) + "</duration>" +
         std::string(more) + "</note>";
}

TEST(MusicXmlReader, ReadsPitchAndDurationInDivisionsOfAQuarter) {
  // W3C MusicXML 4.0, <duration>: "expressed as number of divisions per quarter note".
  const Score score =
      read("<measure number=\"1\"><attributes><divisions>24</divisions></attributes>" +
           note("E", 3, 12) + note("C", 2, 84) + "</measure>");
  ASSERT_EQ(score.parts.size(), 1U);
  const Bar& bar = score.parts[0].bars[0];
  ASSERT_EQ(bar.notes.size(), 2U);
  EXPECT_EQ(bar.notes[0].duration, Beats(1, 2));
  EXPECT_EQ(bar.notes[0].pitch.midi(), 52);
  EXPECT_EQ(bar.notes[1].onset, Beats(1, 2));
  EXPECT_EQ(bar.notes[1].duration, Beats(7, 2));
  EXPECT_EQ(bar.length, Beats(4));
}

TEST(MusicXmlReader, SaysTheLineOfXmlThatBreaksOff) {
  const auto score = read_score("<score-partwise>\n<part>\n<measure", {"cut.musicxml", {}});
  ASSERT_FALSE(score);
  EXPECT_EQ(score.error().file, "cut.musicxml");
  EXPECT_EQ(score.error().place, "3");
}

TEST(MusicXmlReader, RefusesAPictureInOneLine) {
  const auto score = read_score("\x89PNG\r\n\x1a\n", {"page.musicxml", {}});
  ASSERT_FALSE(score);
  EXPECT_EQ(score.error().line(),
            "page.musicxml: this is no score that can be read. Give MusicXML (.musicxml, .mxl), "
            "ABC or MIDI.");
}

}  // namespace
}  // namespace endpin
