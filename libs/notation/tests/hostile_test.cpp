#include <gtest/gtest.h>
#include <zip.h>

#include "endpin/notation/read.h"
#include "endpin/score/unfold.h"

// Files made to do harm, or damaged beyond use: one clear line, soon, whatever they claim.
namespace endpin {
namespace {

std::string refusal(const std::string& bytes) {
  const auto score = read_score(bytes, {"bad", {}});
  return score ? "was read" : score.error().line();
}

std::string one_bar(std::string_view inside) {
  return "<score-partwise><part-list><score-part id=\"P1\"/></part-list><part id=\"P1\">\n"
         "<measure number=\"1\">\n" +
         std::string(inside) + "\n</measure></part></score-partwise>";
}

constexpr std::string_view note =
    "<note><pitch><step>D</step><octave>3</octave></pitch><duration>1</duration></note>";

std::string zipped(const std::string& name, const std::string& content) {
  zip_error_t error;
  zip_source_t* target = zip_source_buffer_create(nullptr, 0, 0, &error);
  zip_source_keep(target);
  zip_t* archive = zip_open_from_source(target, ZIP_TRUNCATE, &error);
  zip_source_t* entry = zip_source_buffer(archive, content.data(), content.size(), 0);
  zip_file_add(archive, name.c_str(), entry, 0);
  zip_close(archive);
  zip_source_open(target);
  zip_source_seek(target, 0, SEEK_END);
  std::string bytes(static_cast<std::size_t>(zip_source_tell(target)), '\0');
  zip_source_seek(target, 0, SEEK_SET);
  zip_source_read(target, bytes.data(), bytes.size());
  zip_source_close(target);
  zip_source_free(target);
  return bytes;
}

TEST(HostileScores, ADivisorThatNoMusicHas) {
  EXPECT_EQ(refusal(one_bar("<attributes><divisions>1000000000</divisions></attributes>")),
            "bad:3: a quarter cannot be divided into \"1000000000\". Correct <divisions>.");
  EXPECT_EQ(refusal(one_bar("<attributes><divisions>0</divisions></attributes>")),
            "bad:3: a quarter cannot be divided into \"0\". Correct <divisions>.");
}

TEST(HostileScores, ADurationOfNothingOrLess) {
  for (const char* duration : {"0", "-4", "", "many", "1e9"}) {
    const std::string bar = one_bar(std::string("<note><pitch><step>D</step><octave>3</octave>"
                                                "</pitch><duration>") +
                                    duration + "</duration></note>");
    EXPECT_EQ(refusal(bar), std::string("bad:3: bar 1: a note whose length cannot be known: its "
                                        "<duration> is \"") +
                                duration +
                                "\" and it has no <type>. Give it a <duration> above 0.");
  }
}

TEST(HostileScores, ARepeatOfAMillionTimes) {
  const std::string bar = one_bar(std::string(note) +
                                  "\n<barline><repeat direction=\"backward\" times=\"1000000\"/>"
                                  "</barline>");
  EXPECT_EQ(refusal(bar),
            "bad:4: bar 1 is to be played \"1000000\" times. Correct <repeat times>: 1 to 100.");
}

TEST(HostileScores, RepeatsThatMultiplyArePlayedOnceThrough) {
  std::string bars;
  for (int i = 0; i < 2000; ++i) {
    bars += std::string("</measure><measure>") + std::string(note) +
            "<barline><repeat direction=\"backward\" times=\"100\"/></barline>";
  }
  const auto score = read_score(one_bar(bars));
  ASSERT_TRUE(score);
  const PlayedOrder order = unfold(score->parts[0]);
  EXPECT_EQ(order.bars.size(), 2001U);
  EXPECT_EQ(order.warnings.size(), 1U);
}

TEST(HostileScores, DeepNesting) {
  std::string deep;
  for (int i = 0; i < 300'000; ++i) deep += "<note>";
  EXPECT_NE(refusal(one_bar(deep)).find("this is not whole XML"), std::string::npos);
  std::string closed = deep;
  for (int i = 0; i < 300'000; ++i) closed += "</note>";
  EXPECT_NE(refusal(one_bar(closed)).find("length cannot be known"), std::string::npos);
}

TEST(HostileScores, MoreElementsThanMemoryShouldHold) {
  std::string many;
  for (int i = 0; i < 3'000'000; ++i) many += "<a/>";
  EXPECT_EQ(refusal(one_bar(many)),
            "bad: the file has more elements than can be read. Split the score into smaller ones.");
}

TEST(HostileScores, AZipBombStopsAtTheLimit) {
  const std::string bomb = zipped("score.xml", std::string(most_score_bytes + 1, ' '));
  EXPECT_LT(bomb.size(), std::size_t{1} << 20);
  EXPECT_EQ(refusal(bomb),
            "bad: score.xml inside it is larger than 48 MiB. Split the score into smaller ones.");
}

TEST(HostileScores, ATruncatedArchive) {
  std::string archive = zipped("score.xml", one_bar(note));
  archive.resize(archive.size() / 2);
  EXPECT_EQ(refusal(archive),
            "bad: the compressed file is damaged or cut short. Save the score "
            "again, or as uncompressed MusicXML.");
  EXPECT_EQ(refusal(zipped("readme.txt", "hello")),
            "bad: no score inside the compressed file. Save the score again, or as uncompressed "
            "MusicXML.");
}

TEST(HostileScores, EntitiesAreNotExpanded) {
  const std::string laughs =
      "<?xml version=\"1.0\"?><!DOCTYPE s [<!ENTITY a \"aaaaaaaaaa\"><!ENTITY b \"&a;&a;&a;\">"
      "<!ENTITY file SYSTEM \"file:///etc/passwd\">]>"
      "<score-partwise><work><work-title>&b;&file;&amp;</work-title></work><part "
      "id=\"P1\"><measure>" +
      std::string(note) + "</measure></part></score-partwise>";
  const auto score = read_score(laughs);
  ASSERT_TRUE(score);
  EXPECT_EQ(score->title, "&b;&file;&");
}

TEST(HostileScores, ABarThatNeverEnds) {
  std::string forward = one_bar(
      "<attributes><divisions>1</divisions></attributes>"
      "<forward><duration>4097</duration></forward>");
  EXPECT_EQ(
      refusal(forward),
      "bad:3: bar 1: a <forward> without a length that can be counted. Correct its <duration>.");
}

TEST(HostileScores, FilesThatAreNoScores) {
  EXPECT_EQ(refusal(""), "bad: the file is empty. Give a file with a score.");
  EXPECT_EQ(
      refusal("RIFF....WAVE"),
      "bad: this is no score that can be read. Give MusicXML (.musicxml, .mxl), ABC or MIDI.");
  EXPECT_EQ(
      refusal("<html><body/></html>"),
      "bad:1: this XML is no score: it is a <html>. Give a MusicXML file, <score-partwise> or "
      "<score-timewise>.");
  EXPECT_EQ(refusal(one_bar("").replace(0, 16, "<score-partwise>")), "was read");
  EXPECT_EQ(refusal("<score-partwise/>"), "bad:1: the score has no bars. Give a score with music.");
}

TEST(HostileScores, AbcRestsByTheThousandAreBounded) {
  std::string rests = "X:1\nK:C\nA|";
  for (int i = 0; i < 400; ++i) rests += "Z999999|";
  rests += "\n";
  const auto score = read_score(rests, {"bad", {}});
  EXPECT_FALSE(score);
}

}  // namespace
}  // namespace endpin
