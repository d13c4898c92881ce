#include <algorithm>

#include "desk_fixture.h"
#include "take_items.h"

namespace endpin::desk {
namespace {

using LessonApi = DeskTest;

TEST_F(LessonApi, ProposalsBecomeALesson) {
  const int piece = add_piece();
  const Said proposals = get("/pieces/" + std::to_string(piece) + "/proposals");
  ASSERT_EQ(proposals.status, 200) << proposals.body;
  ASSERT_GT(proposals.json["items"].size(), 1u);
  const int ada = add_student("Ada");
  const Json body = {{"piece", piece},
                     {"items", {proposals.json["items"][0]["key"]}},
                     {"note", "Slow bow."},
                     {"due", "2026-03-08"},
                     {"students", {ada}}};
  const Said lesson = post("/lessons", body);
  ASSERT_EQ(lesson.status, 201) << lesson.body;
  EXPECT_EQ(lesson.json["state"], "making");
  EXPECT_EQ(get("/lessons?student=" + std::to_string(ada)).json["lessons"].size(), 1u);
  const std::string one = "/lessons/" + std::to_string(lesson.json["id"].get<int>());
  EXPECT_EQ(get(one + "/files/..%2f..%2fbook.sqlite3").status, 404);
  EXPECT_EQ(remove(one).status, 204);
  EXPECT_EQ(get(one).status, 404);
}

// A lesson that was made, given to Ada by name and to Ben by his group.
class ExportedLessons : public DeskTest {
 protected:
  void SetUp() override {
    DeskTest::SetUp();
    ada = add_student("Ada");
    const int ben = add_student("Ben");
    const Json group = post("/groups", {{"name", "Monday"}, {"students", {ben}}}).json;
    auto& lessons = desk->book().lessons();
    book::Lesson made;
    made.piece = add_piece();
    made.items = R"(["warm-up-1","piece"])";
    made.note = "Sing it first.";
    made.date = "2026-03-01";
    made.state = "ready";
    made.students = {ada};
    made.groups = {group["id"]};
    lesson = lessons.find(lessons.add(made).value()).value().value();
    std::filesystem::create_directories(lessons.folder(lesson));
    std::ofstream(lessons.folder(lesson) / "sheet.pdf") << "%PDF of the sheet";
  }
  std::string sheet() const { return "lessons/" + std::to_string(lesson.id) + "/sheet.pdf"; }

  int ada = 0;
  book::Lesson lesson;
};

TEST_F(ExportedLessons, GoWithTheBookAndTheirFiles) {
  const Said zip = get("/book/export.zip");
  ASSERT_EQ(zip.status, 200);
  EXPECT_EQ(exported(zip, sheet()), "%PDF of the sheet");
  const Json book = Json::parse(exported(zip, "book.json"));
  ASSERT_EQ(book["lessons"].size(), 1u);
  const Json& said = book["lessons"][0];
  EXPECT_EQ(said["piece"]["id"], lesson.piece);
  EXPECT_EQ(said["items"], Json({{{"key", "warm-up-1"}}, {{"key", "piece"}}}));
  EXPECT_EQ(said["note"], "Sing it first.");
  EXPECT_EQ(said["students"], Json({ada}));
  EXPECT_EQ(said["files"], Json({"sheet.pdf"}));
}

TEST_F(ExportedLessons, GoWithThoseWhomTheyWereGivenAndNameNobodyElse) {
  const Said zip = get("/students/" + std::to_string(ada) + "/export.zip");
  EXPECT_EQ(exported(zip, sheet()), "%PDF of the sheet");
  const Json json = Json::parse(exported(zip, "student.json"));
  ASSERT_EQ(json["lessons"].size(), 1u);
  EXPECT_EQ(json["lessons"][0]["note"], "Sing it first.");
  EXPECT_FALSE(json["lessons"][0].contains("students"));
  EXPECT_FALSE(json["lessons"][0].contains("groups"));
  const Said other = get("/students/" + std::to_string(add_student("Cleo")) + "/export.zip");
  EXPECT_TRUE(Json::parse(exported(other, "student.json"))["lessons"].empty());
}

// A hearing of the take as a worker would keep it, with one finding in bar 6.
class AnsweringLessons : public DeskTest {
 protected:
  void SetUp() override {
    DeskTest::SetUp();
    piece = add_piece();
    const Said sent = send("/takes?name=a.wav&piece=" + std::to_string(piece), tone_wav(0.1, 331));
    take = sent.json["id"];
    Finding low;
    low.id = "f0-1";
    low.kind = FindingKind::flat;
    low.bars = {"6"};
    low.confidence = 0.97;
    Hearing hearing;
    hearing.status = HearingStatus::ok;
    hearing.findings = {low};
    auto& takes = desk->book().takes();
    const auto claimed = takes.claim();
    ASSERT_TRUE(claimed && *claimed);
    std::vector<ItemHearing> heard{{0, hearing}};
    ASSERT_TRUE(keep_items(takes.folder(**claimed), std::vector<TakeItem>(1), heard));
    ASSERT_TRUE(takes.heard(take, {"ok", "", 1, 0, {}, {}, {}, {}, {}, {}, 0}, {}, {}));
  }
  static bool drills(const Json& items, const std::string& bar) {
    return std::any_of(items.begin(), items.end(), [&](const Json& item) {
      const Json& bars = item["bars"];
      return item["ticked"] == true && item["kind"] == "drill" &&
             std::find(bars.begin(), bars.end(), Json(bar)) != bars.end();
    });
  }
  std::string proposals() const { return "/pieces/" + std::to_string(piece) + "/proposals"; }
  std::string one() const { return std::to_string(take); }

  int piece = 0;
  int take = 0;
};

TEST_F(AnsweringLessons, GoWithAMessageInTheWordsOfTheTakeHomePage) {
  EXPECT_EQ(get("/takes/" + one() + "/message").json["words"],
            "Measure 6: a little higher. Listen to the model, then find it again.");
}

TEST_F(AnsweringLessons, BeginWithWhatWasHeard) {
  EXPECT_FALSE(drills(get(proposals()).json["items"], "6"));
  EXPECT_TRUE(drills(get(proposals() + "?take=" + one()).json["items"], "6"));
  const Json next = get("/takes/" + one() + "/next").json["items"];
  EXPECT_TRUE(drills(next, "6"));
  EXPECT_EQ(next.back()["kind"], "ladder");
}

TEST_F(AnsweringLessons, LeaveOutWhatTheTeacherRejected) {
  put("/takes/" + one() + "/decisions/f0-1", {{"verdict", "rejected"}});
  EXPECT_FALSE(drills(get("/takes/" + one() + "/next").json["items"], "6"));
}

TEST_F(AnsweringLessons, OutliveTheRecording) {
  const Said made = post("/lessons", {{"piece", piece}, {"take", take}});
  ASSERT_EQ(made.status, 201) << made.body;
  const std::string lesson = std::to_string(made.json["id"].get<int>());
  EXPECT_EQ(remove("/takes/" + one()).status, 204);
  EXPECT_TRUE(drills(get(proposals() + "?lesson=" + lesson).json["items"], "6"));
}

TEST_F(LessonApi, WhatAPageMaySayIsTheTeachersChoice) {
  const int piece = add_piece();
  const Json usual = post("/lessons", {{"piece", piece}}).json;
  EXPECT_EQ(usual["may_say"], Json({"short-held", "restart"}));
  const Json chosen = post("/lessons", {{"piece", piece}, {"may_say", {"flat"}}}).json;
  EXPECT_EQ(chosen["may_say"], Json::array({"flat"}));
  const std::string one = "/lessons/" + std::to_string(chosen["id"].get<int>());
  EXPECT_EQ(patch(one, {{"may_say", Json::array()}}).json["may_say"], Json::array());
  EXPECT_EQ(get(one).json["may_say"], Json::array());
  EXPECT_EQ(patch(one, {{"may_say", {"rudeness"}}}).status, 400);
}

// The demo tune is marked ♩ = 92.
TEST_F(LessonApi, ProposalsSayTheTempoThatALessonWithoutOneGets) {
  const std::string piece = "/pieces/" + std::to_string(add_piece());
  EXPECT_EQ(get(piece + "/proposals").json["tempo_bpm"], 92);
  EXPECT_EQ(get(piece + "/proposals?tempo=66").json["tempo_bpm"], 66);
  ASSERT_EQ(patch(piece, {{"tempo_bpm", 72}}).status, 200);
  EXPECT_EQ(get(piece + "/proposals").json["tempo_bpm"], 72);
}

TEST_F(LessonApi, WhatCannotBeALessonIsRefused) {
  const int piece = add_piece();
  EXPECT_EQ(post("/lessons", {{"piece", 999}}).status, 404);
  EXPECT_EQ(post("/lessons", {{"items", Json::array()}}).status, 400);
  EXPECT_EQ(post("/lessons", {{"piece", piece}, {"items", {1, 2}}}).status, 400);
  EXPECT_EQ(post("/lessons", {{"piece", piece}, {"paper", "papyrus"}}).status, 400);
  EXPECT_EQ(get("/lessons").json["lessons"].size(), 0u);
}

}  // namespace
}  // namespace endpin::desk
