#include "desk_fixture.h"

namespace endpin::desk {
namespace {

class MendApi : public DeskTest {
 protected:
  // As read from a page: D E F G, where the F should be sharp; then two halves.
  void SetUp() override {
    DeskTest::SetUp();
    const std::string text = "X:1\nT:Misread\nM:4/4\nL:1/4\nK:C\nD E F G | A2 G2 |]\n";
    const Said added = send("/pieces?name=misread.abc&instrument=violin", text);
    ASSERT_EQ(added.status, 201) << added.body;
    original = text;
    path = "/pieces/" + std::to_string(added.json["id"].get<int>());
  }
  Json bar(std::size_t i) { return get(path + "/mends").json["bars"][i]; }
  std::string id(std::size_t bar_index, std::size_t note) {
    return bar(bar_index)["notes"][note]["id"];
  }
  Json played() { return get(path + "/timeline").json["notes"]; }
  std::string path, original;
};

TEST_F(MendApi, AMendedPitchIsStudiedPlayedAndEngravedAndTheFileStays) {
  const std::string f = id(0, 2);
  const Said after = put(path + "/mends/" + f, {{"pitch", "F#4"}});
  ASSERT_EQ(after.status, 200) << after.body;
  EXPECT_EQ(after.json["mends"][0]["was"]["pitch"], "F4");
  EXPECT_EQ(after.json["mends"][0]["is"]["pitch"], "F#4");
  EXPECT_EQ(played()[2]["midi"], 66);
  EXPECT_EQ(played()[2]["id"], f);
  EXPECT_NE(get(path + "/score.musicxml").body.find("<alter>1</alter>"), std::string::npos);
  EXPECT_EQ(get(path + "/file").body, original);
  close();
  open();
  EXPECT_EQ(played()[2]["midi"], 66);
}

TEST_F(MendApi, MendsAreTakenBackOneByOneOrAllAndUndone) {
  const Json before = played();
  const std::string d = id(0, 0), e = id(0, 1);
  put(path + "/mends/" + d, {{"pitch", "C4"}});
  put(path + "/mends/" + e, {{"rest", true}});
  EXPECT_EQ(get(path + "/mends").json["mends"].size(), 2u);
  EXPECT_EQ(remove(path + "/mends/" + d).json["mends"].size(), 1u);
  EXPECT_EQ(played()[0]["midi"], before[0]["midi"]);
  EXPECT_EQ(post(path + "/mends/undo").json["mends"].size(), 2u);
  EXPECT_EQ(post(path + "/mends/redo").json["mends"].size(), 1u);
  EXPECT_EQ(post(path + "/mends/clear").json["mends"].size(), 0u);
  EXPECT_EQ(played(), before);
  EXPECT_EQ(post(path + "/mends/undo").json["mends"].size(), 1u);
  EXPECT_EQ(remove(path + "/mends/" + d).status, 404);
}

TEST_F(MendApi, AMendThatSaysWhatWasReadIsNone) {
  const std::string d = id(0, 0);
  put(path + "/mends/" + d, {{"pitch", "E4"}});
  EXPECT_EQ(put(path + "/mends/" + d, {{"pitch", "D4"}}).json["mends"].size(), 0u);
}

TEST_F(MendApi, ABarThatDoesNotAddUpIsSaidUntilItDoes) {
  const std::string a = id(1, 0), g = id(1, 1);
  put(path + "/mends/" + id(0, 3), {{"value", "half"}});
  EXPECT_EQ(bar(0)["fits"], false);
  EXPECT_EQ(bar(0)["lasts_quarters"], "5");
  EXPECT_EQ(get(path).json["warnings"].size(), 1u);
  put(path + "/mends/" + id(0, 0), {{"removed", true}});
  EXPECT_EQ(bar(0)["fits"], true);
  EXPECT_EQ(get(path).json["warnings"].size(), 0u);
  EXPECT_EQ(get(path).json["notes"], 5);
  EXPECT_EQ(id(1, 0), a);
  EXPECT_EQ(id(1, 1), g);
}

TEST_F(MendApi, ANoteThatWasNotReadIsAddedAndMendedItself) {
  const std::string d = id(0, 0);
  put(path + "/mends/" + d, {{"value", "eighth"}});
  const Json added =
      post(path + "/mends", {{"after", d}, {"pitch", "C4"}, {"value", "eighth"}}).json;
  const std::string fresh = added["bars"][0]["notes"][1]["id"];
  EXPECT_EQ(added["bars"][0]["fits"], true);
  put(path + "/mends/" + fresh, {{"pitch", "B3"}});
  EXPECT_EQ(bar(0)["notes"][1]["pitch"], "B3");
  EXPECT_EQ(put(path + "/mends/" + fresh, {{"removed", true}}).json["mends"].size(), 1u);
  EXPECT_EQ(post(path + "/mends", {{"after", "nobody"}, {"pitch", "C4"}}).status, 404);
}

TEST_F(MendApi, MarkingsStayWithTheirNotes) {
  const std::string g = id(0, 3);
  put(path + "/markings/" + g, {{"bow", "up"}});
  put(path + "/mends/" + id(0, 0), {{"removed", true}});
  int seen = 0;
  const Json markings = get(path + "/markings").json;
  for (const Json& note : markings["notes"]) {
    if (note["id"] != g) continue;
    EXPECT_EQ(note["bow"]["value"], "up");
    ++seen;
  }
  EXPECT_EQ(seen, 1);
}

TEST_F(MendApi, WhatIsNoMendIsRefusedAndNothingChanges) {
  const std::string d = id(0, 0);
  EXPECT_EQ(put(path + "/mends/" + d, {{"pitch", "H4"}}).status, 400);
  EXPECT_EQ(put(path + "/mends/" + d, {{"value", "long"}}).status, 400);
  EXPECT_EQ(put(path + "/mends/" + d, {{"dots", 9}}).status, 400);
  EXPECT_EQ(put(path + "/mends/nobody", {{"pitch", "D4"}}).status, 404);
  EXPECT_EQ(post(path + "/mends/somersault").status, 404);
  EXPECT_EQ(get(path + "/mends").json["revision"], 0);
}

TEST_F(MendApi, TransposedByKeyAndBackWithFingersOfItsOwn) {
  put(path + "/markings/" + id(0, 0), {{"finger", 1}, {"string", 4}, {"bow", "up"}});
  const Json before = played();
  const Json seen = get(path + "/transposed?key=D").json;
  EXPECT_EQ(seen["key"], "D major");
  EXPECT_EQ(seen["lowest"], "E4");
  EXPECT_EQ(seen["outside"].size(), 0u);
  EXPECT_EQ(played(), before);
  const Said moved = post(path + "/transpose", {{"key", "D"}});
  ASSERT_EQ(moved.status, 200) << moved.body;
  EXPECT_EQ(moved.json["key"], "D major");
  EXPECT_EQ(played()[2]["spelled"], "G4");
  const Json first = get(path + "/markings").json["notes"][0];
  EXPECT_EQ(first["bow"]["origin"], "teacher");
  EXPECT_EQ(first["finger"]["origin"], "proposed");
  EXPECT_EQ(post(path + "/mends/undo").json["moved"], nullptr);
  EXPECT_EQ(played()[2]["midi"], before[2]["midi"]);
  EXPECT_EQ(get(path + "/markings").json["notes"][0]["finger"]["origin"], "teacher");
}

TEST_F(MendApi, AMendOfAMovedPieceIsOfWhatIsSeen) {
  post(path + "/transpose", {{"interval", "M2"}});
  put(path + "/mends/" + id(0, 2), {{"pitch", "G#4"}});
  EXPECT_EQ(played()[2]["spelled"], "G#4");
  post(path + "/transpose", Json::object());
  EXPECT_EQ(played()[2]["spelled"], "F#4");
}

TEST_F(MendApi, TwoIntervalsAddUpAndTooWideOnesAreRefused) {
  post(path + "/transpose", {{"interval", "P5"}});
  EXPECT_EQ(post(path + "/transpose", {{"interval", "P4"}}).json["key"], "C major");
  EXPECT_EQ(played()[0]["spelled"], "D5");
  const Said low = get(path + "/transposed?interval=-24");
  EXPECT_FALSE(low.json["outside"].empty());
  EXPECT_EQ(low.json["step"], nullptr);
  EXPECT_EQ(post(path + "/transpose", {{"interval", "P8"}}).status, 200);
  EXPECT_EQ(post(path + "/transpose", {{"interval", "P8"}}).status, 422);
  EXPECT_EQ(post(path + "/transpose", {{"key", "H"}}).status, 422);
}

TEST_F(MendApi, AsAPieceOfItsOwnTheFirstStaysAsItIs) {
  const Json before = played();
  const Said added = post(path + "/transpose", {{"key", "G"}, {"as", "piece"}});
  ASSERT_EQ(added.status, 201) << added.body;
  EXPECT_EQ(added.json["key"], "G major");
  EXPECT_EQ(added.json["title"], "Misread");
  EXPECT_EQ(played(), before);
  EXPECT_EQ(get("/pieces").json["pieces"].size(), 2u);
  EXPECT_EQ(post(path + "/transpose", {{"key", "G"}, {"as", "piece"}}).json["id"],
            added.json["id"]);
}

}  // namespace
}  // namespace endpin::desk
