#include <gtest/gtest.h>

#include "endpin/notation/write.h"

namespace endpin {
namespace {

// Two notes of a file as a program writes it: a comment, an attribute of its own, a printed finger.
constexpr std::string_view original =
    "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
    "<score-partwise version=\"3.1\">\n"
    "  <!-- kept -->\n"
    "  <part-list><score-part id=\"P1\"><part-name>Cello &amp; friends</part-name></score-part>"
    "</part-list>\n"
    "  <part id=\"P1\">\n"
    "    <measure number=\"1\" width='99'>\n"
    "      <attributes><divisions>1</divisions></attributes>\n"
    "      <note default-x=\"3\">\n"
    "        <pitch><step>D</step><octave>3</octave></pitch>\n"
    "        <duration>1</duration>\n"
    "        <notations><technical><fingering>4</fingering></technical></notations>\n"
    "        <lyric><text>la</text></lyric>\n"
    "      </note>\n"
    "      <note id=\"mine\">\n"
    "        <pitch><step>E</step><octave>3</octave></pitch>\n"
    "        <duration>3</duration>\n"
    "      </note>\n"
    "    </measure>\n"
    "  </part>\n"
    "</score-partwise>\n";

NoteMarkings finger(int number) {
  NoteMarkings marks;
  marks.fingers = {number};
  return marks;
}

NoteMarkings down_bow_on(int string) {
  NoteMarkings marks;
  marks.bow = Bow::down;
  marks.string = string;
  return marks;
}

std::string annotated(std::string_view text, const MarkingsById& markings) {
  auto result = annotate_musicxml(text, markings);
  EXPECT_TRUE(result) << result.error().line();
  return *result;
}

std::string without_added(std::string text) {
  for (std::size_t at; (at = text.find("<notations id=\"endpin-")) != std::string::npos;) {
    const std::string close = "</notations>";
    std::size_t end = text.find(close, at) + close.size();
    while (text[end] == ' ' || text[end] == '\n') ++end;
    while (text[at - 1] == ' ' || text[at - 1] == '\n') --at;
    const std::size_t line = original.find(text.substr(end, 20));
    std::size_t space = line;
    while (original[space - 1] == ' ' || original[space - 1] == '\n') --space;
    text.replace(at, end - at, original.substr(space, line - space));
  }
  const std::string id = " id=\"p1b1n1\"";
  const std::size_t at = text.find(id);
  return at == std::string::npos ? text : text.erase(at, id.size());
}

TEST(Annotate, LeavesEveryOtherByteAsItWas) {
  const std::string text = annotated(original, {{"p1b1n1", {{down_bow_on(2), Origin::proposed}}},
                                                {"mine", {{finger(1), Origin::proposed}}}});
  EXPECT_NE(text, original);
  EXPECT_EQ(without_added(text), original);
}

TEST(Annotate, AProposalNeverReplacesWhatIsPrinted) {
  NoteMarkings both = finger(1);
  both.bow = Bow::up;
  const std::string text = annotated(original, {{"p1b1n1", {{both, Origin::proposed}}}});
  EXPECT_EQ(text.find("<fingering>1</fingering>"), std::string::npos);
  EXPECT_NE(text.find("<up-bow/>"), std::string::npos);
}

TEST(Annotate, ATeachersMarkReplacesThePrintedOneAndIsReadBack) {
  const std::string text = annotated(original, {{"p1b1n1", {{finger(1), Origin::teacher}}}});
  EXPECT_EQ(text.find("<fingering>4</fingering>"), std::string::npos);
  const auto score = read_score(text);
  ASSERT_TRUE(score);
  EXPECT_EQ(score->parts[0].bars[0].notes[0].printed.fingers, std::vector{1});
}

TEST(Annotate, ProposalsAreNotReadAsPrintedAndGoWhenMarkedAgain) {
  const MarkingsById first{{"mine", {{finger(3), Origin::proposed}}}};
  const std::string once = annotated(original, first);
  const auto score = read_score(once);
  ASSERT_TRUE(score);
  EXPECT_TRUE(score->parts[0].bars[0].notes[1].printed.fingers.empty());
  EXPECT_EQ(annotated(once, first), once);
  const std::string again = annotated(once, {{"mine", {{finger(1), Origin::proposed}}}});
  EXPECT_EQ(again.find("<fingering>3</fingering>"), std::string::npos);
  EXPECT_EQ(again, annotated(original, {{"mine", {{finger(1), Origin::proposed}}}}));
}

TEST(Annotate, StandsBeforeTheLyrics) {
  // W3C MusicXML 4.0, content of <note>: … notations*, lyric*, play?, listen?
  const std::string text = annotated(original, {{"p1b1n1", {{down_bow_on(2), Origin::proposed}}}});
  EXPECT_LT(text.find("endpin-proposed-p1b1n1"), text.find("<lyric>"));
}

}  // namespace
}  // namespace endpin
