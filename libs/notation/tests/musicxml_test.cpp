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

std::string order_and_letters(const Score& score) {
  const auto played = timeline(score, 0);
  std::string text;
  for (const TimelineNote& n : played->notes) text += n.spelled.text()[0];
  return text;
}

TEST(MusicXmlReader, ARepeatSignInsideABarRepeatsFromThere) {
  const Score score = read(
      "<measure number=\"1\"><attributes><divisions>1</divisions></attributes>" + note("C", 3, 1) +
      "<barline location=\"middle\"><repeat direction=\"forward\"/></barline>" + note("D", 3, 3) +
      "</measure><measure number=\"2\">" + note("E", 3, 3) +
      "<barline location=\"middle\"><repeat direction=\"backward\"/></barline>" + note("F", 3, 1) +
      "</measure>");
  EXPECT_EQ(order_and_letters(score), "CDEDEF");
  EXPECT_TRUE(score.warnings.empty());
}

TEST(MusicXmlReader, TimeModificationOfANestedTuplet) {
  // W3C MusicXML 4.0, <time-modification>: a nested tuplet's ratios are multiplied; here a triplet
  // inside a quintuplet, 15 notes in the time of 8.
  const Score score =
      read("<measure number=\"1\"><attributes><divisions>15</divisions></attributes>" +
           note("C", 3, 2,
                "<type>16th</type><time-modification><actual-notes>15</actual-notes>"
                "<normal-notes>8</normal-notes></time-modification>") +
           "</measure>");
  const Note& first = score.parts[0].bars[0].notes[0];
  ASSERT_TRUE(first.written);
  EXPECT_EQ(first.written->beats(), Beats(2, 15));
  EXPECT_EQ(first.duration, Beats(2, 15));
}

TEST(MusicXmlReader, AlterIsInSemitones) {
  // W3C MusicXML 4.0, <alter>: -1 for flat, 1 for sharp.
  const Score score = read(
      "<measure number=\"1\"><note><pitch><step>B</step><alter>-1</alter><octave>2</octave></pitch>"
      "<duration>4</duration></note></measure>");
  EXPECT_EQ(score.parts[0].bars[0].notes[0].pitch.text(), "Bb2");
  EXPECT_EQ(score.parts[0].bars[0].notes[0].pitch.midi(), 46);
}

TEST(MusicXmlReader, MultiPartRepeatsAndJumpsCountForEveryPart) {
  const std::string text =
      "<score-partwise><part-list><score-part id=\"A\"><part-name>Flute</part-name></score-part>"
      "<score-part id=\"B\"><part-name>Cello</part-name></score-part></part-list>"
      "<part id=\"A\"><measure number=\"1\"><attributes><divisions>1</divisions></attributes>" +
      note("C", 5, 4) +
      "<direction><direction-type><words>Fine</words></direction-type></direction>" +
      "</measure><measure number=\"2\">" + note("D", 5, 4) +
      "<direction><direction-type><words>D. C. al Fine</words></direction-type></direction>" +
      "</measure></part><part id=\"B\"><measure number=\"1\">" + note("C", 3, 4) +
      "</measure><measure number=\"2\">" + note("D", 3, 4) + "</measure></part></score-partwise>";
  const auto score = read_score(text);
  ASSERT_TRUE(score);
  const int part = *choose_part(*score);
  EXPECT_EQ(score->parts[part].name, "Cello");
  EXPECT_EQ(timeline(*score, part)->notes.size(), 3U);
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
