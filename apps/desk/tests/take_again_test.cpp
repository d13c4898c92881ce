// A take heard anew: against another lesson, or against a score that was mended since.
#include <algorithm>

#include "endpin/media/encode.h"

#include "desk_fixture.h"
#include "finding_marks.h"
#include "played.h"
#include "take_items.h"

namespace endpin::desk {
namespace {

class TakeAgain : public HearingDeskTest {
 protected:
  void SetUp() override {
    HearingDeskTest::SetUp();
    played = add_piece();
    other = add_piece("greensleeves");
    right = lesson_of(played);
    wrong = lesson_of(other);
  }

  int lesson_of(int piece) { return post("/lessons", {{"piece", piece}}).json["id"]; }

  // The tune as it is written.
  std::string wav() {
    const Json notes = get("/pieces/" + std::to_string(played) + "/timeline").json["notes"];
    listen::Recording sound(static_cast<double>(notes.size()) * 1.2 + 4);
    double at = 1;
    for (std::size_t i = 0; i < notes.size(); ++i) {
      const double quarters = quarters_of(notes[i]["duration_quarters"]);
      sound.add({at, quarters * 0.6 - 0.04, notes[i]["midi"].get<double>()});
      at += quarters * 0.6;
    }
    return encode(Audio{static_cast<int>(listen::Recording::rate), sound.samples()},
                  AudioFormat::wav)
        .value();
  }
  static double quarters_of(const std::string& text) {
    const auto slash = text.find('/');
    return std::stod(text) / (slash == std::string::npos ? 1 : std::stod(text.substr(slash + 1)));
  }
  std::string take_of(int lesson) {
    const Said sent = send("/takes?name=a.wav&lesson=" + std::to_string(lesson), wav());
    EXPECT_EQ(sent.status, 201) << sent.body;
    return "/takes/" + std::to_string(sent.json["id"].get<int>());
  }
  Json heard(const std::string& take) {
    const Json settled = when_settled(take).json;
    EXPECT_EQ(settled["state"], "heard") << settled.dump();
    return settled;
  }
  std::string tuned_well(const std::string& take) {
    const Json hearing = get(take + "/hearing").json;
    for (const Json& finding : hearing["findings"]) {
      if (finding["kind"] == "in-tune") return finding["id"];
    }
    ADD_FAILURE() << hearing.dump();
    return "";
  }

  int played = 0, other = 0, right = 0, wrong = 0;
};

TEST_F(TakeAgain, MovedToAnotherLessonItIsHeardAgainstThatAndBack) {
  const std::string take = take_of(right);
  ASSERT_EQ(heard(take)["status"], "ok");
  const std::string finding = tuned_well(take);
  put(take + "/decisions/" + finding, {{"verdict", "rejected"}});

  const Said moved = patch(take, {{"lesson", wrong}});
  ASSERT_EQ(moved.status, 200) << moved.body;
  EXPECT_EQ(moved.json["lesson"], wrong);
  EXPECT_EQ(moved.json["piece"]["id"], other);
  EXPECT_NE(heard(take)["status"], "ok");
  // The word was about a finding against the first lesson: none of these is it.
  const Json findings = get(take + "/hearing").json["findings"];
  const Json kept = get(take + "/decisions").json["decisions"];
  EXPECT_EQ(kept.size(), 1u);
  for (const Json& decision : kept) {
    EXPECT_TRUE(std::none_of(findings.begin(), findings.end(), [&](const Json& found) {
      return found["id"] == decision["finding"];
    }));
  }

  ASSERT_EQ(patch(take, {{"lesson", right}, {"piece", played}, {"item", ""}}).status, 200);
  EXPECT_EQ(heard(take)["status"], "ok");
  const Json decisions = get(take + "/decisions").json["decisions"];
  ASSERT_EQ(decisions.size(), 1u);
  EXPECT_EQ(decisions[0]["finding"], tuned_well(take));
  EXPECT_EQ(decisions[0]["verdict"], "rejected");
}

TEST_F(TakeAgain, ToALessonThatIsNotThereItStaysWhereItIs) {
  const std::string take = take_of(right);
  const Said refused = patch(take, {{"lesson", 999}});
  EXPECT_EQ(refused.status, 404);
  EXPECT_EQ(refused.json["error"]["what"], "there is no such lesson");
  EXPECT_EQ(get(take).json["lesson"], right);
  EXPECT_EQ(get(take).json["piece"]["id"], played);
}

TEST_F(TakeAgain, OnceTheScoreWasMendedAllOfALessonAreHeardAgainAtOnce) {
  const std::string take = take_of(right);
  EXPECT_EQ(heard(take)["earlier_score"], false);
  const std::string piece = "/pieces/" + std::to_string(played);
  const Json note = get(piece + "/mends").json["bars"][2]["notes"][0];
  ASSERT_EQ(put(piece + "/mends/" + note["id"].get<std::string>(), {{"pitch", "E3"}}).status, 200);
  EXPECT_EQ(get(take).json["earlier_score"], true);
  const std::string lesson = std::to_string(right);
  EXPECT_EQ(get("/takes?earlier=1&lesson=" + lesson).json["takes"].size(), 1u);
  EXPECT_EQ(get("/takes?earlier=1&lesson=" + std::to_string(wrong)).json["takes"].size(), 0u);
  EXPECT_EQ(post("/takes/retry", {{"lesson", wrong}}).json["queued"], 0);
  EXPECT_EQ(post("/takes/retry", {{"lesson", right}}).json["queued"], 1);
  EXPECT_EQ(heard(take)["earlier_score"], false);
  EXPECT_EQ(get("/takes?earlier=1&lesson=" + lesson).json["takes"].size(), 0u);
  EXPECT_EQ(post("/takes/retry").status, 400);
}

TEST_F(TakeAgain, WhereItCannotBeHeardTheWordsStayWithTheirFindings) {
  const std::string take = take_of(right);
  ASSERT_EQ(heard(take)["status"], "ok");
  const std::string finding = tuned_well(take);
  put(take + "/decisions/" + finding, {{"verdict", "rejected"}});
  for (const auto& folder : std::filesystem::directory_iterator(options.book / "takes")) {
    std::filesystem::remove(folder.path() / "original.wav");
  }
  ASSERT_EQ(post(take + "/retry").status, 200);
  ASSERT_EQ(when_settled(take).json["state"], "failed");
  const Json decisions = get(take + "/decisions").json["decisions"];
  ASSERT_EQ(decisions.size(), 1u);
  EXPECT_EQ(decisions[0]["finding"], finding);
}

// A desk whose worker is the test: one take that was heard, with two findings.
class FindingsFollowed : public DeskTest {
 protected:
  void SetUp() override {
    DeskTest::SetUp();
    const std::string piece = std::to_string(add_piece());
    const Said sent = send("/takes?name=a.wav&piece=" + piece, tone_wav(0.1));
    take = sent.json["id"];
    claim();
    write(first);
    publish();
  }

  static Finding finding(const char* id, FindingKind kind, const char* bar) {
    Finding f;
    f.id = id;
    f.kind = kind;
    f.bars = {bar};
    return f;
  }
  book::Takes& takes() { return desk->book().takes(); }
  std::filesystem::path folder() { return takes().folder(takes().find(take).value().value()); }
  void claim() { ASSERT_EQ(takes().claim().value()->id, take); }
  // What a hearing writes into the take's folder before the book knows of it.
  void write(std::vector<Finding> findings) {
    Hearing hearing;
    hearing.status = HearingStatus::ok;
    hearing.findings = std::move(findings);
    std::vector<ItemHearing> heard{{0, hearing}};
    ASSERT_TRUE(keep_items(folder(), std::vector<TakeItem>(1), heard));
  }
  void publish() { ASSERT_TRUE(takes().heard(take, {}, {}, finding_marks(folder())).value()); }

  std::string path() const { return "/takes/" + std::to_string(take); }
  int decide(const std::string& id, const std::string& words) {
    return put(path() + "/decisions/" + id, {{"verdict", "reworded"}, {"words", words}}).status;
  }
  // The words by finding.
  std::map<std::string, std::string> words() {
    std::map<std::string, std::string> all;
    const Json kept = get(path() + "/decisions").json["decisions"];
    for (const Json& decision : kept) all[decision["finding"]] = decision["words"];
    return all;
  }
  using Words = std::map<std::string, std::string>;

  const std::vector<Finding> first{finding("f0-1", FindingKind::flat, "3"),
                                   finding("f0-2", FindingKind::sharp, "5")};
  const std::vector<Finding> second{finding("f0-1", FindingKind::early, "1"),
                                    finding("f0-2", FindingKind::flat, "3"),
                                    finding("f0-3", FindingKind::sharp, "5")};
  book::Id take = 0;
};

TEST_F(FindingsFollowed, AWordIsTakenBackAndAnotherWrittenWhileTheTakeIsHeardAgain) {
  ASSERT_EQ(decide("f0-1", "on the flat one"), 200);
  ASSERT_EQ(post(path() + "/retry").status, 200);
  claim();
  write(second);  // the page still shows the first
  EXPECT_EQ(remove(path() + "/decisions/f0-1").status, 204);
  EXPECT_EQ(remove(path() + "/decisions/f0-1").status, 404);
  EXPECT_EQ(decide("f0-2", "on the sharp one"), 200);
  publish();
  EXPECT_EQ(words(), (Words{{"f0-3", "on the sharp one"}}));
}

TEST_F(FindingsFollowed, WhereTheDeskDiesInTheMiddleOfItEachWordIsAboutWhatItWasAbout) {
  ASSERT_EQ(decide("f0-1", "on the flat one"), 200);
  ASSERT_EQ(post(path() + "/retry").status, 200);
  claim();
  write(second);
  ASSERT_EQ(decide("f0-2", "on the sharp one"), 200);
  close();  // the take stays as it was claimed
  open();
  EXPECT_EQ(words(), (Words{{"f0-1", "on the flat one"}, {"f0-2", "on the sharp one"}}));
  claim();
  ASSERT_TRUE(
      know_findings(desk->book(), take, folder()));  // knows them: those of the first hearing
  write(second);
  publish();
  EXPECT_EQ(words(), (Words{{"f0-2", "on the flat one"}, {"f0-3", "on the sharp one"}}));
}

TEST_F(FindingsFollowed, TwoOfAKindInABarAreToldApartAndAreTheSameWhenHeardAgain) {
  write({finding("f0-1", FindingKind::flat, "3"), finding("f0-2", FindingKind::flat, "3"),
         finding("f0-3", FindingKind::sharp, "3")});
  const auto before = finding_marks(folder());
  EXPECT_NE(before.at("f0-1"), before.at("f0-2"));
  write({finding("f0-1", FindingKind::early, "1"), finding("f0-2", FindingKind::flat, "3"),
         finding("f0-3", FindingKind::flat, "3")});
  const auto after = finding_marks(folder());
  EXPECT_EQ(after.at("f0-2"), before.at("f0-1"));
  EXPECT_EQ(after.at("f0-3"), before.at("f0-2"));
}

}  // namespace
}  // namespace endpin::desk
