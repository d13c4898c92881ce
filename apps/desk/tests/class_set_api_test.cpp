#include <algorithm>

#include "desk_fixture.h"

namespace endpin::desk {
namespace {

class ClassSetApi : public DeskTest {
 protected:
  void SetUp() override {
    DeskTest::SetUp();
    piece = add_piece();
  }
  std::string of_piece() const { return "/pieces/" + std::to_string(piece) + "/set"; }
  static const Json& key(const Json& plan, int fifths) {
    const Json& keys = plan["keys"];
    return *std::find_if(keys.begin(), keys.end(),
                         [&](const Json& k) { return k["fifths"] == fifths; });
  }

  int piece = 0;
};

// Common practice: the violin reads treble, the viola alto, cello and bass bass clef, and the bass
// sounds an octave below what is written.
TEST_F(ClassSetApi, PlansAPartForEachInstrument) {
  const Said plan = get(of_piece());
  ASSERT_EQ(plan.status, 200) << plan.body;
  const Json& parts = plan.json["parts"];
  ASSERT_EQ(parts.size(), 4u);
  const char* clefs[] = {"treble", "alto", "bass", "bass"};
  for (std::size_t i = 0; i < parts.size(); ++i) {
    EXPECT_EQ(parts[i]["clef"], clefs[i]);
    EXPECT_EQ(parts[i]["hand"], "first-position");
    EXPECT_EQ(parts[i]["lines"][0]["kind"], "tune");
    EXPECT_FALSE(parts[i]["lines"][0].contains("timeline"));
    EXPECT_FALSE(parts[i]["steps"].empty());
  }
  EXPECT_EQ(parts[3]["written_octave"], 1);
  EXPECT_EQ(plan.json["keys"].size(), 15u);
  EXPECT_EQ(plan.json["in_hand"], key(plan.json, plan.json["key"]["fifths"])["in_hand"]);
}

TEST_F(ClassSetApi, PlansForThoseWhoAreThereWithTheirOwnSteps) {
  const Json own = get(of_piece() +
                       "?instruments=cello,violin&steps=cello:open-strings"
                       "&lines=second&fifths=1")
                       .json;
  ASSERT_EQ(own["parts"].size(), 2u);
  EXPECT_EQ(own["key"]["tonic"], "G");
  EXPECT_EQ(own["parts"][0]["instrument"], "cello");
  EXPECT_EQ(own["parts"][0]["hand"], "open-strings");
  EXPECT_EQ(own["parts"][1]["hand"], "first-position");
  EXPECT_FALSE(own["parts"][0]["lines"][0]["strained"].empty());
  EXPECT_EQ(own["parts"][1]["lines"].size(), 2u);
  EXPECT_FALSE(own["says"].empty());
}

TEST_F(ClassSetApi, RefusesWhatIsNoClass) {
  for (const char* words : {"instruments=kazoo", "instruments=violin,violin", "steps=violin:flying",
                            "fifths=9", "fifths=x", "lines=descant"}) {
    EXPECT_EQ(get(of_piece() + "?" + words).status, 400) << words;
  }
  EXPECT_EQ(get("/pieces/999/set").status, 404);
  EXPECT_EQ(get(of_piece() + ".wav?without=kazoo").status, 400);
  EXPECT_EQ(post("/sets", {{"piece", 999}}).status, 404);
  EXPECT_EQ(post("/sets", {{"piece", piece}, {"paper", "papyrus"}}).status, 400);
  EXPECT_TRUE(get("/sets").json["sets"].empty());
}

TEST_F(ClassSetApi, TakesTheTeachersBowsOver) {
  const Json notes = get("/pieces/" + std::to_string(piece) + "/timeline").json["notes"];
  const std::string first = notes[0]["id"];
  put("/pieces/" + std::to_string(piece) + "/markings/" + first, {{"bow", "up"}});
  const Said made = post("/sets", {{"piece", piece}, {"instruments", {"violin", "bass"}}});
  ASSERT_EQ(made.status, 201) << made.body;
  EXPECT_EQ(made.json["state"], "making");
  EXPECT_EQ(made.json["wanted"]["instruments"], Json({"violin", "bass"}));
  EXPECT_EQ(made.json["wanted"]["lines"].size(), 5u);
}

// The files of a set that was made, and what it was made of.
TEST_F(ClassSetApi, GoesWithTheExportOfTheBook) {
  auto& sets = desk->book().class_sets();
  book::ClassSet set;
  set.piece = piece;
  set.wanted = R"({"instruments":["violin","bass"]})";
  set.state = "ready";
  set.id = sets.add(set).value();
  set = sets.find(set.id).value().value();
  set.state = "ready";
  ASSERT_TRUE(sets.change(set).value());
  std::filesystem::create_directories(sets.folder(set));
  std::ofstream(sets.folder(set) / "violin.pdf") << "%PDF of the violins";
  const Said zip = get("/book/export.zip");
  ASSERT_EQ(zip.status, 200);
  EXPECT_EQ(exported(zip, "class_sets/" + std::to_string(set.id) + "/violin.pdf"),
            "%PDF of the violins");
  const Json book = Json::parse(exported(zip, "book.json"));
  ASSERT_EQ(book["class_sets"].size(), 1u);
  EXPECT_EQ(book["class_sets"][0]["wanted"]["instruments"], Json({"violin", "bass"}));
  EXPECT_EQ(book["class_sets"][0]["files"], Json({"violin.pdf"}));
  EXPECT_EQ(book["class_sets"][0]["piece"]["id"], piece);
}

TEST_F(ClassSetApi, MakingCanBeStoppedAndASetThrownAway) {
  const Said made = post("/sets", {{"piece", piece}});
  const std::string one = "/sets/" + std::to_string(made.json["id"].get<int>());
  EXPECT_EQ(get("/sets?piece=" + std::to_string(piece)).json["sets"].size(), 1u);
  EXPECT_EQ(get(one + "/files/..%2f..%2fbook.sqlite3").status, 404);
  EXPECT_EQ(post(one + "/cancel").json["state"], "stopped");
  EXPECT_EQ(post(one + "/cancel").status, 409);
  EXPECT_EQ(remove(one).status, 204);
  EXPECT_EQ(get(one).status, 404);
  EXPECT_EQ(remove(one).status, 404);
}

}  // namespace
}  // namespace endpin::desk
