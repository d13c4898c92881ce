#include "desk_fixture.h"

namespace endpin::desk {
namespace {

class MarkingApi : public DeskTest {
 protected:
  void SetUp() override {
    DeskTest::SetUp();
    path = "/pieces/" + std::to_string(add_piece());
  }
  static Json note(const Json& markings, const std::string& id) {
    for (const Json& n : markings["notes"]) {
      if (n["id"] == id) return n;
    }
    return nullptr;
  }
  // Two bars that a violinist may play with the open A or without.
  std::string add_tune_over_the_open_a() {
    const std::string tune = "X:1\nT:Down\nM:4/4\nL:1/4\nQ:1/4=120\nK:G\nGABA|GABA|\n";
    const Said added = send("/pieces?name=down.abc&instrument=violin", tune);
    EXPECT_EQ(added.status, 201) << added.body;
    return "/pieces/" + std::to_string(added.json["id"].get<int>());
  }
  std::string path;
};

TEST_F(MarkingApi, ATeachersFingerHoldsAndTheRestIsComputedAroundIt) {
  const Json before = get(path + "/markings").json;
  ASSERT_GT(before["notes"].size(), 10u);
  Json chosen;
  for (const Json& n : before["notes"]) {
    if (!n["finger"].is_null() && n["finger"]["origin"] == "proposed") chosen = n;
  }
  ASSERT_FALSE(chosen.is_null());
  const std::string id = chosen["id"];
  const int wanted = chosen["finger"]["value"] == 1 ? 2 : 1;
  const Said after = put(path + "/markings/" + id, {{"finger", wanted}});
  ASSERT_EQ(after.status, 200) << after.body;
  EXPECT_EQ(note(after.json, id)["finger"]["value"], wanted);
  EXPECT_EQ(note(after.json, id)["finger"]["origin"], "teacher");
  EXPECT_EQ(after.json["can_undo"], true);
  EXPECT_EQ(post(path + "/markings/undo").json["notes"], before["notes"]);
  EXPECT_EQ(post(path + "/markings/redo").json["notes"], after.json["notes"]);
  EXPECT_EQ(post(path + "/markings/clear").json["notes"], before["notes"]);
  close();
  open();
  EXPECT_EQ(post(path + "/markings/undo").json["notes"], after.json["notes"]);
}

TEST_F(MarkingApi, HouseRulesHoldForEveryPieceAndAlternativesAreOffered) {
  const std::string markings = add_tune_over_the_open_a() + "/markings";
  const Json before = get(markings).json;
  const std::string a = before["notes"][1]["id"];
  EXPECT_EQ(note(before, a)["finger"]["value"], 0);
  ASSERT_FALSE(before["alternatives"].empty());
  EXPECT_FALSE(before["alternatives"][0]["says"].get<std::string>().empty());
  EXPECT_EQ(patch("/book", {{"house_rules", "avoid open-strings"}}).status, 200);
  EXPECT_EQ(note(get(markings).json, a)["finger"]["value"], 4);
}

TEST_F(MarkingApi, ATeachersBowIsWrittenIntoTheScore) {
  const std::string id = get(path + "/markings").json["notes"][0]["id"];
  EXPECT_EQ(put(path + "/markings/" + id, {{"bow", "up"}}).status, 200);
  EXPECT_NE(get(path + "/score.musicxml").body.find("<up-bow"), std::string::npos);
}

TEST_F(MarkingApi, WhatIsNoMarkingIsRefused) {
  const std::string id = get(path + "/markings").json["notes"][0]["id"];
  EXPECT_EQ(put(path + "/markings/" + id, {{"finger", 9}}).status, 400);
  EXPECT_EQ(put(path + "/markings/" + id, {{"bow", "sideways"}}).status, 400);
  EXPECT_EQ(put(path + "/markings/no-such-note", {{"finger", 1}}).status, 404);
  EXPECT_EQ(post(path + "/markings/somersault").status, 404);
  EXPECT_EQ(get(path + "/markings").json["revision"], 0);
}

TEST_F(MarkingApi, StudyAndTimelineKnowTheStrings) {
  const Said study = get(path + "/study?lang=de");
  EXPECT_EQ(study.json["schema"], "endpin.study/1");
  EXPECT_EQ(get(path + "/study", {{"If-None-Match", "x"}}).status, 200);
  EXPECT_FALSE(get(path + "/timeline").json["notes"][0]["string"].is_null());
}

TEST_F(MarkingApi, SoundAndItsTimesBelongTogether) {
  const std::string words = "?tempo=120&bars=1-2&click=1&count_in=1";
  const Said times = get(path + "/sound.json" + words);
  ASSERT_EQ(times.status, 200) << times.body;
  const Said sound = get(path + "/sound.wav" + words);
  ASSERT_EQ(sound.status, 200);
  // 48 kHz, one channel, 16 bit, and a header.
  const double seconds = static_cast<double>(sound.body.size()) / 96000;
  EXPECT_NEAR(seconds, times.json["seconds"].get<double>(), 0.01);
  // One bar of 4/4 is counted in at 120: the first note comes after 2 s.
  EXPECT_NEAR(times.json["notes"][0]["onset_s"].get<double>(), 2.0, 0.05);
  EXPECT_EQ(get(path + "/sound.wav" + words, {{"Range", "bytes=0-3"}}).body, "RIFF");
  EXPECT_EQ(get(path + "/sound.wav?tempo=9999").status, 400);
  EXPECT_EQ(get(path + "/sound.wav?bars=900-901").status, 400);
}

TEST_F(MarkingApi, AnAlternativeIsTakenInOneStepAndGoesInOne) {
  path = add_tune_over_the_open_a();
  const Json before = get(path + "/markings").json;
  ASSERT_FALSE(before["alternatives"].empty());
  const Json wanted = before["alternatives"][0]["notes"];
  const Json after = put(path + "/markings", {{"notes", wanted}}).json;
  EXPECT_EQ(after["revision"], 1);
  for (const Json& note : wanted) {
    for (const Json& set : after["notes"]) {
      if (set["id"] != note["id"] || note["finger"].is_null()) continue;
      EXPECT_EQ(set["finger"]["value"], note["finger"]);
      EXPECT_EQ(set["finger"]["origin"], "teacher");
    }
  }
  EXPECT_EQ(post(path + "/markings/undo").json["notes"], before["notes"]);
  const Json nobody = {{"id", "nobody"}, {"finger", 1}};
  EXPECT_EQ(put(path + "/markings", {{"notes", Json::array({nobody})}}).status, 404);
  EXPECT_EQ(put(path + "/markings", {{"notes", "all"}}).status, 400);
}

}  // namespace
}  // namespace endpin::desk
