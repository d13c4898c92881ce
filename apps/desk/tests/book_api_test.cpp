#include "desk_fixture.h"

namespace endpin::desk {
namespace {

using BookApi = DeskTest;

TEST_F(BookApi, AnEmptyBookSaysSo) {
  const Said book = get("/book");
  EXPECT_EQ(book.status, 200);
  EXPECT_EQ(book.json["schema"], "endpin.desk/1");
  EXPECT_EQ(book.json["counts"]["students"], 0);
  EXPECT_EQ(book.json["settings"]["retention_days"], 60);
  EXPECT_EQ(book.json["settings"]["a4_hz"], nullptr);
  EXPECT_EQ(book.json["network"], false);
}

TEST_F(BookApi, SettingsAreKeptAndChecked) {
  EXPECT_EQ(patch("/book", {{"retention_days", 30}, {"a4_hz", 442.5}}).status, 200);
  EXPECT_EQ(get("/book").json["settings"]["a4_hz"], 442.5);
  const Said wrong = patch("/book", {{"retention_days", 0}});
  EXPECT_EQ(wrong.status, 400);
  EXPECT_EQ(wrong.json["error"]["place"], "retention_days");
  EXPECT_EQ(get("/book").json["settings"]["retention_days"], 30);
}

TEST_F(BookApi, HouseRulesAreKeptAndChecked) {
  const char* rules = "# ours\nprefer open-strings descending\n";
  EXPECT_EQ(patch("/book", {{"house_rules", rules}}).status, 200);
  EXPECT_EQ(get("/book").json["settings"]["house_rules"], rules);
  const Said wrong = patch("/book", {{"house_rules", "avoid elbows"}});
  EXPECT_EQ(wrong.status, 400);
  EXPECT_EQ(wrong.json["error"]["place"], "house_rules");
}

TEST_F(BookApi, StudentsComeAndGo) {
  const Said added =
      post("/students", {{"name", "Ilva"}, {"instrument", "viola"}, {"size", "1/2"}});
  ASSERT_EQ(added.status, 201) << added.body;
  const std::string path = "/students/" + std::to_string(added.json["id"].get<int>());
  EXPECT_EQ(get(path).json["instrument"], "viola");
  EXPECT_EQ(patch(path, {{"consent", {{"by", "her father"}, {"on", "2026-02-01"}}}}).status, 200);
  EXPECT_EQ(get(path).json["consent"]["by"], "her father");
  EXPECT_EQ(get("/students?q=ILV").json["students"].size(), 1u);
  EXPECT_EQ(remove(path).status, 204);
  EXPECT_EQ(get(path).status, 404);
  EXPECT_EQ(remove(path).status, 404);
}

TEST_F(BookApi, AStudentNeedsANameAndAnInstrumentThatWeKnow) {
  EXPECT_EQ(post("/students", Json::object()).json["error"]["place"], "name");
  EXPECT_EQ(post("/students", {{"name", "  "}}).status, 400);
  EXPECT_EQ(post("/students", {{"name", "A"}, {"instrument", "kazoo"}}).status, 400);
  EXPECT_EQ(post("/students", {{"name", std::string(201, 'x')}}).status, 400);
  EXPECT_EQ(get("/book").json["counts"]["students"], 0);
}

TEST_F(BookApi, GroupsHoldStudents) {
  const int ada = add_student("Ada");
  const Said group = post("/groups", {{"name", "Monday"}, {"students", {ada}}});
  ASSERT_EQ(group.status, 201);
  const std::string id = std::to_string(group.json["id"].get<int>());
  EXPECT_EQ(get("/students?group=" + id).json["students"].size(), 1u);
  EXPECT_EQ(patch("/groups/" + id, {{"students", Json::array()}}).json["students"].size(), 0u);
  EXPECT_EQ(get("/groups").json["groups"][0]["name"], "Monday");
  EXPECT_EQ(remove("/groups/" + id).status, 204);
}

TEST_F(BookApi, WhatIsNoJsonIsRefusedWithItsPlace) {
  const auto refused = [&](const std::string& body) {
    return said(client->Post("/api/students", body, "application/json")).status;
  };
  EXPECT_EQ(refused("{"), 400);
  EXPECT_EQ(refused("[]"), 400);
  EXPECT_EQ(refused(R"({"name":7})"), 400);
  EXPECT_EQ(refused("\xff\xfe"), 400);
  EXPECT_EQ(refused(R"({"name":)" + std::string(100'000, '[')), 400);
  EXPECT_EQ(refused(R"({"name":")" + std::string(2 << 20, 'x') + "\"}"), 413);
}

TEST_F(BookApi, UnknownPathsAndMethodsAreTold) {
  EXPECT_EQ(get("/nothing").status, 404);
  EXPECT_EQ(post("/pieces/1/timeline").status, 405);
  EXPECT_EQ(get("/students/abc").status, 404);
  EXPECT_EQ(get("/students/99999999999999999999").status, 404);
}

TEST_F(BookApi, IsBackedUpIntoOneFile) {
  add_student("Ada");
  const Said backup = post("/book/backup");
  ASSERT_EQ(backup.status, 201) << backup.body;
  const std::filesystem::path file = backup.json["file"].get<std::string>();
  EXPECT_EQ(std::filesystem::file_size(file), backup.json["bytes"]);
  ASSERT_TRUE(book::restore_book(file, root / "restored").has_value());
  EXPECT_EQ(book::open_book(root / "restored").value()->counts()->students, 1);
}

TEST_F(BookApi, IsThereAgainAfterARestart) {
  add_student("Ada");
  close();
  open();
  EXPECT_EQ(get("/students").json["students"][0]["name"], "Ada");
}

TEST_F(BookApi, ASecondDeskOnTheSameBookSaysSo) {
  const auto second = Desk::open(options);
  ASSERT_FALSE(second.has_value());
  EXPECT_EQ(second.error().kind, ErrorKind::machine);
  EXPECT_NE(second.error().line().find("another desk"), std::string::npos);
}

TEST_F(BookApi, APortInUseIsOneClearLine) {
  DeskOptions other = options;
  other.book = root / "other";
  other.port = desk->port();
  const auto second = Desk::open(other);
  ASSERT_FALSE(second.has_value());
  EXPECT_EQ(second.error().kind, ErrorKind::machine);
  EXPECT_NE(second.error().line().find("in use"), std::string::npos);
}

}  // namespace
}  // namespace endpin::desk
