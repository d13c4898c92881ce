#include "desk_fixture.h"

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
