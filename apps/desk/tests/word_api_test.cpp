#include "desk_fixture.h"

namespace endpin::desk {
namespace {

class WordApi : public DeskTest {
 protected:
  void SetUp() override {
    DeskTest::SetUp();
    student = add_student("Ada");
    const Said sent =
        send("/takes?name=VID_0042.wav&student=" + std::to_string(student), tone_wav(0.1));
    take = "/takes/" + std::to_string(sent.json["id"].get<int>());
  }
  int student = 0;
  std::string take;
};

TEST_F(WordApi, TheTeacherDecidesOnAFinding) {
  EXPECT_EQ(put(take + "/decisions/f1", {{"verdict", "rejected"}}).status, 200);
  const Json changed = {{"verdict", "reworded"}, {"words", "Let the half note ring."}};
  EXPECT_EQ(put(take + "/decisions/f1", changed).status, 200);
  const Json decisions = get(take + "/decisions").json["decisions"];
  ASSERT_EQ(decisions.size(), 1u);
  EXPECT_EQ(decisions[0]["words"], "Let the half note ring.");
  EXPECT_EQ(put(take + "/decisions/f1", {{"verdict", "maybe"}}).status, 400);
  EXPECT_EQ(put(take + "/decisions/f1", {{"verdict", "reworded"}}).status, 400);
  EXPECT_EQ(remove(take + "/decisions/f1").status, 204);
  EXPECT_EQ(remove(take + "/decisions/f1").status, 404);
  EXPECT_EQ(put("/takes/999/decisions/f1", {{"verdict", "accepted"}}).status, 404);
}

TEST_F(WordApi, TheTeachersMessageStandsUntilItIsTakenBack) {
  EXPECT_EQ(get(take + "/message").json["origin"], "proposed");
  EXPECT_EQ(put(take + "/message", {{"words", "Well held!"}}).json["origin"], "teacher");
  EXPECT_EQ(get(take + "/message").json["words"], "Well held!");
  EXPECT_EQ(put(take + "/message", {{"words", nullptr}}).json["origin"], "proposed");
}

TEST_F(WordApi, TheRubricIsEmptyUntilTheTeacherFillsIt) {
  EXPECT_EQ(get(take + "/rubric").json["rows"].size(), 0u);
  const Json rows = Json::array({{{"name", "tone"}, {"mark", "4"}, {"words", "warm"}}});
  EXPECT_EQ(put(take + "/rubric", {{"rows", rows}}).json["rows"], rows);
  EXPECT_EQ(put(take + "/rubric", {{"rows", {1, 2}}}).status, 400);
  EXPECT_EQ(get(take + "/rubric").json["rows"], rows);
}

TEST_F(WordApi, RemarksAreKeptForTheNextTime) {
  const Said remark = post("/remarks", {{"words", "Save the bow."}, {"kind", "short-held"}});
  ASSERT_EQ(remark.status, 201) << remark.body;
  const std::string path = "/remarks/" + std::to_string(remark.json["id"].get<int>());
  EXPECT_EQ(patch(path, {{"words", "Keep some bow."}}).json["words"], "Keep some bow.");
  EXPECT_EQ(get("/remarks").json["remarks"][0]["kind"], "short-held");
  EXPECT_EQ(remove(path).status, 204);
  EXPECT_EQ(post("/remarks", {{"words", ""}}).status, 400);
}

TEST_F(WordApi, OneStudentsDataComesAsOneFileAndNobodyElses) {
  const int ben = add_student("Ben");
  send("/takes?name=other.wav&student=" + std::to_string(ben), tone_wav(0.2));
  put(take + "/message", {{"words", "Well held!"}});
  const Json rows = Json::array({{{"name", "tone"}, {"mark", "4"}, {"words", "warm"}}});
  put(take + "/rubric", {{"rows", rows}});
  const Said zip = get("/students/" + std::to_string(student) + "/export.zip");
  ASSERT_EQ(zip.status, 200);
  EXPECT_EQ(zip.body.substr(0, 2), "PK");
  EXPECT_NE(zip.body.find("VID_0042.wav"), std::string::npos);
  EXPECT_NE(zip.body.find("student.json"), std::string::npos);
  EXPECT_EQ(zip.body.find("other.wav"), std::string::npos);
  const Json json = Json::parse(exported(zip, "student.json"));
  EXPECT_EQ(json["takes"][0]["message"], "Well held!");
  EXPECT_EQ(json["takes"][0]["rubric"], rows);
  EXPECT_TRUE(std::filesystem::is_empty(options.book / "incoming"));
  EXPECT_EQ(get("/book/export.zip").status, 200);
  EXPECT_EQ(get("/students/999/export.zip").status, 404);
}

}  // namespace
}  // namespace endpin::desk
