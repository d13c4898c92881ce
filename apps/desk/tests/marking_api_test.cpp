#include "desk_fixture.h"

namespace endpin::desk {
namespace {

class MarkingApi : public DeskTest {
 protected:
  // The marking of a note as the desk says it now.
  Json note(const std::string& piece, const std::string& id) {
    const Said said = get(piece + "/markings");
    for (const Json& n : said.json["notes"]) {
      if (n["id"] == id) return n;
    }
    return nullptr;
  }
};

TEST_F(MarkingApi, TheTeachersWordOutranksAndCanBeTakenBack) {
  const std::string piece = "/pieces/" + std::to_string(add_piece());
  const Said before = get(piece + "/markings");
  ASSERT_EQ(before.status, 200) << before.body;
  EXPECT_FALSE(before.json["can_undo"]);
  const std::string id = before.json["notes"].back()["id"];
  const Json proposed = note(piece, id);
  EXPECT_EQ(proposed["finger"]["origin"], "proposed");
  const int other = proposed["bow"].is_null() || proposed["bow"]["value"] == "up" ? 0 : 1;

  const Said set = put(piece + "/markings/" + id, {{"bow", other ? "up" : "down"}});
  ASSERT_EQ(set.status, 200) << set.body;
  EXPECT_EQ(note(piece, id)["bow"]["origin"], "teacher");
  EXPECT_EQ(note(piece, id)["bow"]["value"], other ? "up" : "down");

  const Said undone = post(piece + "/markings/undo");
  EXPECT_TRUE(undone.json["can_redo"]);
  EXPECT_EQ(note(piece, id), proposed);
  post(piece + "/markings/redo");
  EXPECT_EQ(note(piece, id)["bow"]["origin"], "teacher");
  put(piece + "/markings/" + id, {{"bow", nullptr}});
  EXPECT_EQ(note(piece, id), proposed);
}

TEST_F(MarkingApi, ClearingTakesAllBackAndCanItselfBeUndone) {
  const std::string piece = "/pieces/" + std::to_string(add_piece());
  const std::string id = get(piece + "/markings").json["notes"][0]["id"];
  put(piece + "/markings/" + id, {{"bow", "up"}});
  post(piece + "/markings/clear");
  EXPECT_NE(note(piece, id)["bow"]["origin"], "teacher");
  post(piece + "/markings/undo");
  EXPECT_EQ(note(piece, id)["bow"]["origin"], "teacher");
}

TEST_F(MarkingApi, WhatIsNoMarkingIsRefusedAndChangesNothing) {
  const std::string piece = "/pieces/" + std::to_string(add_piece());
  const std::string id = get(piece + "/markings").json["notes"][0]["id"];
  EXPECT_EQ(put(piece + "/markings/" + id, {{"finger", 9}}).status, 400);
  EXPECT_EQ(put(piece + "/markings/" + id, {{"bow", "sideways"}}).status, 400);
  EXPECT_EQ(put(piece + "/markings/nobody", {{"finger", 1}}).status, 404);
  EXPECT_EQ(get("/pieces/99/markings").status, 404);
  EXPECT_FALSE(get(piece + "/markings").json["can_undo"]);
}

TEST_F(MarkingApi, TheMarkedScoreIsMusicXmlWithTheTeachersBow) {
  const std::string piece = "/pieces/" + std::to_string(add_piece());
  const std::string id = get(piece + "/markings").json["notes"].back()["id"];
  put(piece + "/markings/" + id, {{"bow", "up"}});
  const Said file = get(piece + "/score.musicxml");
  ASSERT_EQ(file.status, 200);
  const std::size_t note = file.body.find("id=\"" + id + "\"");
  ASSERT_NE(note, std::string::npos);
  EXPECT_NE(file.body.find("<up-bow", note), std::string::npos);
}

TEST_F(MarkingApi, TheStudyIsInTheLanguageAskedFor) {
  const std::string piece = "/pieces/" + std::to_string(add_piece());
  const Said english = get(piece + "/study?lang=en-US");
  ASSERT_EQ(english.status, 200) << english.body;
  EXPECT_EQ(english.json["schema"], "endpin.study/1");
  EXPECT_NE(english.body, get(piece + "/study?lang=de").body);
}

TEST_F(MarkingApi, TheSoundLastsAsLongAsItsTimesSay) {
  const std::string piece = "/pieces/" + std::to_string(add_piece());
  const std::string words = "?tempo=120&bars=1-2&click=1&count_in=1";
  const Said times = get(piece + "/sound.json" + words);
  ASSERT_EQ(times.status, 200) << times.body;
  const Said wav = get(piece + "/sound.wav" + words);
  ASSERT_EQ(wav.status, 200);
  EXPECT_EQ(wav.body.substr(0, 4), "RIFF");
  // 16-bit mono at 48 kHz.
  EXPECT_NEAR(static_cast<double>(wav.body.size()) / 96000, times.json["seconds"], 0.01);
  // A bar of 4/4 at 120 is two seconds, so the first note comes two seconds in.
  EXPECT_NEAR(times.json["notes"][0]["onset_s"].get<double>(), 2.0, 0.02);
  EXPECT_EQ(times.json["clicks"].size(), 12u);
  EXPECT_EQ(get(piece + "/sound.wav?tempo=9999").status, 400);
  EXPECT_EQ(get(piece + "/sound.wav?bars=7--9").status, 400);
  EXPECT_EQ(get(piece + "/sound.wav?bars=700-900").status, 422);
}

}  // namespace
}  // namespace endpin::desk
