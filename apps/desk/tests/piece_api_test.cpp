#include "desk_fixture.h"

namespace endpin::desk {
namespace {

using PieceApi = DeskTest;

TEST_F(PieceApi, AScoreIsReadAndItsOriginalKept) {
  const int id = add_piece();
  const Said piece = get("/pieces/" + std::to_string(id));
  EXPECT_EQ(piece.json["file"], "ode-to-joy.musicxml");
  EXPECT_EQ(piece.json["metre"], "4/4");
  EXPECT_GT(piece.json["notes"], 10);
  EXPECT_EQ(piece.json["parts"].size(), 1u);
  const Said file = get("/pieces/" + std::to_string(id) + "/file");
  EXPECT_EQ(file.body, file_bytes(tune()));
}

TEST_F(PieceApi, TheSameBytesAgainAreTheSamePiece) {
  const int id = add_piece();
  const Said again = send("/pieces?name=other.musicxml", file_bytes(tune()));
  EXPECT_EQ(again.status, 200);
  EXPECT_EQ(again.json["id"], id);
}

TEST_F(PieceApi, WhatIsNoScoreIsRefusedAndLeavesNothing) {
  const Said refused = send("/pieces?name=photo.musicxml", "\x89PNG\r\n\x1a\n not a score");
  EXPECT_EQ(refused.status, 422) << refused.body;
  EXPECT_EQ(refused.json["error"]["file"], "photo.musicxml");
  EXPECT_NE(refused.json["error"]["remedy"], "");
  EXPECT_EQ(get("/book").json["counts"]["pieces"], 0);
  EXPECT_TRUE(std::filesystem::is_empty(options.book / "incoming"));
  EXPECT_TRUE(std::filesystem::is_empty(options.book / "pieces"));
  EXPECT_EQ(send("/pieces?name=empty.musicxml", "").status, 400);
}

TEST_F(PieceApi, TheTimelineHasATagAndIsNotSentTwice) {
  const std::string path = "/pieces/" + std::to_string(add_piece()) + "/timeline";
  const Said first = get(path);
  EXPECT_EQ(first.json["schema"], "endpin.timeline/1");
  const auto tag = first.headers.find("ETag");
  ASSERT_NE(tag, first.headers.end());
  const Said second = get(path, {{"If-None-Match", tag->second}});
  EXPECT_EQ(second.status, 304);
  EXPECT_EQ(second.body, "");
}

TEST_F(PieceApi, IsRenamedFoundAndDeleted) {
  const int id = add_piece();
  const std::string path = "/pieces/" + std::to_string(id);
  EXPECT_EQ(patch(path, {{"title", "Hymn of friends"}, {"tempo_bpm", 66}}).json["tempo_bpm"], 66);
  EXPECT_EQ(get("/pieces?q=FRIENDS").json["pieces"].size(), 1u);
  EXPECT_EQ(patch(path, {{"part", 7}}).status, 422);
  EXPECT_EQ(remove(path).status, 204);
  EXPECT_EQ(get(path).status, 404);
}

TEST_F(PieceApi, WithTakesIsNotDeletedByAccident) {
  const std::string path = "/pieces/" + std::to_string(add_piece());
  send("/takes?name=a.wav&piece=" + path.substr(8), tone_wav(0.1));
  EXPECT_EQ(remove(path).status, 409);
  EXPECT_EQ(remove(path + "?takes=delete").status, 204);
  EXPECT_EQ(get("/takes").json["takes"].size(), 0u);
}

class EngravingApi : public DeskTest {
 protected:
  EngravingApi() { options.draw_ahead = true; }
};

TEST_F(EngravingApi, IsMadeAheadAndKept) {
  const std::string path = "/pieces/" + std::to_string(add_piece()) + "/engraving";
  Said engraving = get(path);
  for (int i = 0; i < 200 && engraving.status == 202; ++i) {
    std::this_thread::sleep_for(std::chrono::milliseconds(100));
    engraving = get(path);
  }
  ASSERT_EQ(engraving.json["state"], "ready") << engraving.body.substr(0, 400);
  EXPECT_NE(engraving.json["pages"][0].get<std::string>().find("<svg"), std::string::npos);
  close();
  open();
  EXPECT_EQ(get(path).json["key"], engraving.json["key"]);
  EXPECT_EQ(get(path).json["state"], "ready");
}

}  // namespace
}  // namespace endpin::desk
