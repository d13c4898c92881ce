#include "desk_fixture.h"

namespace endpin::desk {
namespace {

class DraftCheck : public DeskTest {
 protected:
  std::string add(const std::string& instrument, const std::string& music) {
    const std::string clef = instrument == "violin" ? "treble" : "bass";
    const std::string text = "X:1\nT:T\nM:4/4\nL:1/4\nK:D clef=" + clef + "\n" + music + "\n";
    const Said made = post("/drafts", {{"text", text}, {"instrument", instrument}});
    EXPECT_EQ(made.status, 201) << made.body;
    return "/drafts/" + std::to_string(made.json["id"].get<int>());
  }
  Json out(const std::string& draft, const std::string& step) {
    const Said said = get(draft + "/check?step=" + step);
    EXPECT_EQ(said.status, 200) << said.body;
    return said.json["out"];
  }
};

// Common practice: the violin's first position ends with the fourth finger on the E string, B5; its
// lowest note is the open G string.
TEST_F(DraftCheck, NamesTheNotesThatAStepDoesNotHave) {
  const std::string draft = add("violin", "A z d b | e' A F, A |");
  const Json first = out(draft, "first-position");
  ASSERT_EQ(first.size(), 2u);
  EXPECT_EQ(first[0], (Json{{"note", 3}, {"spelled", "E6"}, {"anywhere", true}}));
  EXPECT_EQ(first[1], (Json{{"note", 5}, {"spelled", "F#3"}, {"anywhere", false}}));
  EXPECT_EQ(out(draft, "open-strings").size(), 4u);
}

// The handbook: the bass is written an octave above where it sounds; its open strings are written
// E2 A2 D3 G3.
TEST_F(DraftCheck, TakesTheDoubleBassAnOctaveBelowWhatIsWritten) {
  const std::string draft = add("bass", "E,, A,, D, G, |");
  EXPECT_TRUE(out(draft, "open-strings").empty());
  const Said kept = post(draft + "/keep");
  ASSERT_EQ(kept.status, 201) << kept.body;
  const std::string piece = "/pieces/" + std::to_string(kept.json["id"].get<int>());
  const Json notes = get(piece + "/timeline").json["notes"];
  EXPECT_EQ(notes[0]["midi"], 28);  // E1
  EXPECT_EQ(notes[3]["midi"], 43);  // G2
}

TEST_F(DraftCheck, IsQuietWhileTheTuneCannotBeRead) {
  const std::string draft = add("violin", "");
  EXPECT_TRUE(out(draft, "first-position").empty());
  EXPECT_EQ(get("/drafts/999/check").status, 404);
}

}  // namespace
}  // namespace endpin::desk
