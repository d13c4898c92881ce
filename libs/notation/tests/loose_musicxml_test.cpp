#include <gtest/gtest.h>

#include "endpin/notation/read.h"
#include "endpin/notation/write.h"
#include "endpin/score/unfold.h"

// MusicXML as old and careless programs write it, and forms that are seldom used.
namespace endpin {
namespace {

std::string part_of(std::string_view measures) {
  return "<score-partwise version=\"4.0\"><part-list><score-part id=\"P1\">"
         "<part-name>Violin</part-name></score-part></part-list><part id=\"P1\">" +
         std::string(measures) + "</part></score-partwise>";
}

std::string bar(std::string_view inside, std::string_view metre = "4/4") {
  const std::size_t slash = metre.find('/');
  return "<measure number=\"1\"><attributes><divisions>2</divisions><time><beats>" +
         std::string(metre.substr(0, slash)) + "</beats><beat-type>" +
         std::string(metre.substr(slash + 1)) + "</beat-type></time></attributes>" +
         std::string(inside) + "</measure>";
}

/// A note of `halves` eighths on the D above middle C, `more` inside it.
std::string note(int halves, std::string_view before = "", std::string_view more = "",
                 std::string_view step = "D") {
  return "<note>" + std::string(before) + "<pitch><step>" + std::string(step) +
         "</step><octave>4</octave></pitch><duration>" + std::to_string(halves) + "</duration>" +
         std::string(more) + "</note>";
}

Score read(std::string_view text) {
  auto score = read_score(text, {"loose.musicxml", {}});
  EXPECT_TRUE(score) << score.error().line();
  return score ? *score : Score{};
}

std::string played(std::string_view measures) {
  const auto notes = timeline(read(part_of(measures)), 0);
  EXPECT_TRUE(notes);
  std::string text;
  for (const TimelineNote& n : notes->notes) {
    text += (text.empty() ? "" : " ") + n.spelled.text() + "@" + n.onset.text() + "+" +
            n.duration.text();
  }
  return text;
}

TEST(LooseMusicXml, AdditiveMetresAreSummedAndKeepTheirGroups) {
  const Score score = read(part_of(bar(note(5), "3+2/8")));
  const TimeSignature time = contexts(score.parts.front()).front().time;
  EXPECT_EQ(time.bar_length(), Beats(5, 2));
  EXPECT_EQ(time.groups, (std::vector{3, 2}));
  EXPECT_NE(write_musicxml(score).find("<beats>3+2</beats>"), std::string::npos);
}

// W3C, MusicXML 4.0, <time>: "multiple pairs of beats and beat-type elements are used for composite
// time signatures" (our words).
TEST(LooseMusicXml, CompositeMetresAreCountedInTheFinestUnit) {
  std::string measure = bar(note(7), "3/8");
  measure.insert(measure.find("</time>"), "<beats>2</beats><beat-type>4</beat-type>");
  const Score score = read(part_of(measure));
  const TimeSignature time = contexts(score.parts.front()).front().time;
  EXPECT_EQ(time.beats, 7);
  EXPECT_EQ(time.beat_type, 8);
  EXPECT_EQ(time.groups, (std::vector{3, 4}));
}

TEST(LooseMusicXml, BeamsFollowTheGroupsOfTheMetre) {
  std::string eighths;
  for (int i = 0; i < 5; ++i) eighths += note(1, "", "<type>eighth</type>");
  const std::string text = write_musicxml(read(part_of(bar(eighths, "2+3/8"))));
  std::string beams;
  constexpr std::string_view mark = "<beam number=\"1\">";
  for (std::size_t at = 0; (at = text.find(mark, at)) != std::string::npos; at += mark.size()) {
    beams += text[at + mark.size()];
  }
  EXPECT_EQ(beams, "bebce");
}

TEST(LooseMusicXml, ADiamondAboveAStoppedNoteIsItsHarmonic) {
  const std::string diamond =
      "<note><chord/><pitch><step>G</step><octave>4</octave></pitch><duration>8</duration>"
      "<notehead>diamond</notehead></note>";
  EXPECT_EQ(played(bar(note(8) + diamond)), "D6@0+4");
}

// W3C, MusicXML 4.0, <harmonic>: base, touching and sounding pitch.
TEST(LooseMusicXml, ANoteheadThatShowsTheTouchedPlaceDoesNotSound) {
  const auto marked = [](std::string_view place, std::string_view step, std::string_view chord) {
    return note(8, chord,
                "<notations><technical><harmonic><artificial/><" + std::string(place) +
                    "/></harmonic></technical></notations>",
                step);
  };
  EXPECT_EQ(played(bar(marked("base-pitch", "D", "") + marked("touching-pitch", "G", "<chord/>"))),
            "D6@0+4");
}

TEST(LooseMusicXml, ATranspositionThatChangesHoldsFromThere) {
  const std::string second =
      "<measure number=\"2\"><attributes><transpose><diatonic>-1</diatonic>"
      "<chromatic>-2</chromatic></transpose></attributes>" +
      note(8) + "</measure>";
  EXPECT_EQ(played(bar(note(8)) + second), "D4@0+4 C4@4+4");
}

TEST(LooseMusicXml, ANoteWithoutAPitchIsARestAndSaid) {
  const Score score = read(part_of(bar("<note><duration>4</duration></note>" + note(4))));
  EXPECT_TRUE(score.parts.front().bars.front().notes.front().is_rest());
  ASSERT_FALSE(score.warnings.empty());
  EXPECT_EQ(score.warnings.front().what, "a note without a pitch was read as a rest");
}

TEST(LooseMusicXml, ElementsInAnotherOrderMeanTheSame) {
  const std::string shuffled =
      "<measure number=\"1\"><attributes><time><beat-type>4</beat-type><beats>2</beats></time>"
      "<divisions>2</divisions></attributes><note><duration>4</duration><voice>1</voice>"
      "<pitch><octave>4</octave><alter>1</alter><step>F</step></pitch></note></measure>";
  EXPECT_EQ(played(shuffled), "F#4@0+2");
}

TEST(LooseMusicXml, DurationsThatAreMissingAreTakenFromTheLook) {
  const std::string quarter =
      "<note><pitch><step>D</step><octave>4</octave></pitch><type>quarter</type></note>";
  EXPECT_EQ(played("<measure number=\"1\">" + quarter + quarter + "</measure>"), "D4@0+1 D4@1+1");
}

TEST(LooseMusicXml, ABackupBeyondTheBarsBeginningStopsThere) {
  EXPECT_EQ(played(bar(note(8) + "<backup><duration>20</duration></backup>" +
                       note(8, "", "<voice>2</voice>", "G"))),
            "D4@0+4 G4@0+4");
}

TEST(LooseMusicXml, ATieGoesOnInAnotherVoice) {
  const std::string second = "<measure number=\"2\">" +
                             note(4, "", "<tie type=\"stop\"/><voice>2</voice>") +
                             note(4, "", "<voice>2</voice>", "E") + "</measure>";
  EXPECT_EQ(played(bar(note(8, "", "<tie type=\"start\"/><voice>1</voice>")) + second),
            "D4@0+6 E4@6+2");
}

TEST(LooseMusicXml, GracesAtTheBarsEndAreLeftOutOfTheCount) {
  const std::string grace =
      "<note><grace/><pitch><step>E</step><octave>4</octave></pitch><type>eighth</type></note>";
  EXPECT_EQ(played(bar(note(8) + grace)), "D4@0+4");
}

TEST(LooseMusicXml, IsReadInUtf16OfEitherOrderAndInLatin1) {
  const std::string text = part_of(bar(note(8)));
  for (const bool big : {false, true}) {
    std::string wide = big ? "\xFE\xFF" : "\xFF\xFE";
    for (const char c : text) {
      wide += big ? '\0' : c;
      wide += big ? c : '\0';
    }
    EXPECT_EQ(read(wide).parts.front().name, "Violin");
  }
  std::string latin = text;
  latin.replace(latin.find("Violin"), 6,
                "Gr\xF6\xDF"
                "e");
  EXPECT_EQ(read(latin).parts.front().name, "Größe");
}

}  // namespace
}  // namespace endpin
