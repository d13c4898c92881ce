#include "desk_fixture.h"

namespace endpin::desk {
namespace {

using DraftApi = DeskTest;

const char* const typed = "X:1\nT:Open strings\nM:4/4\nL:1/4\nK:D clef=bass\nv D,2 A,2 | D4 |]\n";

TEST_F(DraftApi, KeepsEveryKeystrokeAcrossAStart) {
  const int id = post("/drafts", {{"text", ""}, {"instrument", "cello"}}).json["id"];
  const std::string path = "/drafts/" + std::to_string(id);
  EXPECT_EQ(patch(path, {{"text", typed}}).status, 200);
  close();
  open();
  EXPECT_EQ(get(path).json["text"], typed);
}

TEST_F(DraftApi, BecomesAPieceAndStaysTheSamePieceWhenMended) {
  const int id = post("/drafts", {{"text", typed}, {"instrument", "cello"}}).json["id"];
  const std::string path = "/drafts/" + std::to_string(id);
  const Said piece = post(path + "/keep");
  ASSERT_EQ(piece.status, 201) << piece.body;
  EXPECT_EQ(piece.json["title"], "Open strings");
  EXPECT_EQ(piece.json["notes"], 3);
  const std::string at = "/pieces/" + std::to_string(piece.json["id"].get<int>());
  EXPECT_EQ(get(at + "/timeline").json["notes"][0]["midi"],
            50);  // D3, the middle line (ABC 2.1, 4.6)

  std::string mended = typed;
  mended.replace(mended.find("D4"), 2, "A,4");
  patch(path, {{"text", mended}});
  const Said again = post(path + "/keep");
  EXPECT_EQ(again.status, 200) << again.body;
  EXPECT_EQ(again.json["id"], piece.json["id"]);
  EXPECT_EQ(get(at + "/timeline").json["notes"][2]["midi"],
            get(at + "/timeline").json["notes"][1]["midi"]);
  EXPECT_EQ(get(at + "/draft").json["id"], id);
}

TEST_F(DraftApi, WithNothingInItIsRefusedAtItsPlace) {
  const int id = post("/drafts", {{"text", "X:1\nK:C\n"}}).json["id"];
  const Said kept = post("/drafts/" + std::to_string(id) + "/keep");
  EXPECT_EQ(kept.status, 422);
  EXPECT_FALSE(kept.json["error"]["what"].get<std::string>().empty());
  EXPECT_EQ(get("/pieces").json["pieces"].size(), 0u);
}

TEST_F(DraftApi, TakesAPictureToCopyFromAndNothingElse) {
  const int id = post("/drafts").json["id"];
  const std::string path = "/drafts/" + std::to_string(id) + "/page";
  EXPECT_EQ(send(path + "?name=page.html", "<script>").status, 422);
  EXPECT_EQ(get(path).status, 404);
  EXPECT_EQ(send(path + "?name=IMG_7.jpg", "a picture").status, 200);
  const Said page = get(path);
  EXPECT_EQ(page.body, "a picture");
  EXPECT_EQ(page.headers.find("Content-Type")->second, "image/jpeg");
  EXPECT_EQ(remove("/drafts/" + std::to_string(id)).status, 204);
  EXPECT_TRUE(std::filesystem::is_empty(options.book / "drafts"));
}

// As large as phones' photographs get; what is larger says so, and the one before stays.
TEST_F(DraftApi, TakesALargePhotographAndSaysWhatIsTooLarge) {
  const std::string path = "/drafts/" + std::to_string(post("/drafts").json["id"].get<int>());
  EXPECT_EQ(send(path + "/page?name=a.jpg", std::string(std::size_t{40} << 20, 'x')).status, 200);
  const Said refused = send(path + "/page?name=b.jpg", std::string(std::size_t{65} << 20, 'x'));
  EXPECT_EQ(refused.status, 413);
  EXPECT_NE(refused.json["error"]["what"].get<std::string>().find("64 MiB"), std::string::npos);
  EXPECT_EQ(get(path).json["page"], "a.jpg");
}

// A header ends with its key (ABC 2.1, 3.1.14); without one the music is clear all the same.
TEST_F(DraftApi, OfAbcWithAnErrorItsLineIsSaidAndTheTextStays) {
  const std::string text = "X:1\nT:Broken\nM:4/4\nD E F G |\n";
  const std::string path =
      "/drafts/" + std::to_string(post("/drafts", {{"text", text}}).json["id"].get<int>());
  const Said kept = post(path + "/keep");
  ASSERT_EQ(kept.status, 201) << kept.body;
  EXPECT_EQ(kept.json["warnings"][0]["place"], "4");
  EXPECT_NE(kept.json["warnings"][0]["remedy"], "");
  EXPECT_EQ(get(path).json["text"], text);
}

}  // namespace
}  // namespace endpin::desk
