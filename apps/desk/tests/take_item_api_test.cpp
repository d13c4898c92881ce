#include <algorithm>

#include "endpin/media/encode.h"

#include "desk_fixture.h"
#include "played.h"
#include "take_items.h"

namespace endpin::desk {
namespace {

/// Plays items one after the other, with two seconds between.
class Playing {
 public:
  explicit Playing(const std::vector<TakeItem>& items) : sound_(length(items)) {
    for (const TakeItem& item : items) {
      starts.push_back(at_);
      for (const TimelineNote& note : item.timeline.notes) {
        sound_.add({at_ + note.onset.to_double() * quarter_s,
                    note.duration.to_double() * quarter_s - 0.04, static_cast<double>(note.midi)});
      }
      at_ += item.timeline.end().to_double() * quarter_s + 2;
    }
  }
  std::string wav() {
    const Audio audio{static_cast<int>(listen::Recording::rate), sound_.samples()};
    return encode(audio, AudioFormat::wav).value();
  }
  std::vector<double> starts;

 private:
  static constexpr double quarter_s = 0.6;
  static double length(const std::vector<TakeItem>& items) {
    double seconds = 2;
    for (const TakeItem& item : items) {
      seconds += item.timeline.end().to_double() * quarter_s + 2;
    }
    return seconds;
  }
  double at_ = 1;
  listen::Recording sound_;
};

class TakeItems : public HearingDeskTest {
 protected:
  void SetUp() override {
    HearingDeskTest::SetUp();
    piece = add_piece();
    ada = add_student("Ada");
    const Said made = post("/lessons", {{"piece", piece}, {"students", {ada}}});
    lesson = made.json["id"];
  }

  // What the desk itself expects a take of the lesson to hold.
  std::vector<TakeItem> expected() {
    ScoreShelf scores(desk->book());
    MarkedScores marked(desk->book(), scores);
    book::Take take;
    take.lesson = lesson;
    const auto of = desk->book().pieces().find(piece).value().value();
    return items_of(desk->book(), marked, take, of, **marked.get(of));
  }
  std::string hear(const std::string& words, const std::string& wav) {
    const Said sent = send("/takes?name=a.wav" + words, wav);
    EXPECT_EQ(sent.status, 201) << sent.body;
    const std::string path = "/takes/" + std::to_string(sent.json["id"].get<int>());
    EXPECT_EQ(when_settled(path).json["state"], "heard");
    return path;
  }

  int piece = 0;
  int ada = 0;
  int lesson = 0;
};

TEST_F(TakeItems, AWarmUpADrillAndThePieceAreHeardApart) {
  const auto may_hold = expected();
  ASSERT_GE(may_hold.size(), 3u);
  EXPECT_EQ(may_hold[0].key, "piece");
  const std::vector<TakeItem> played{may_hold[1], may_hold.back(), may_hold[0]};
  Playing playing(played);
  const std::string take = hear("&lesson=" + std::to_string(lesson), playing.wav());
  const Json items = get(take + "/items").json["items"];
  ASSERT_EQ(items.size(), 3u) << items.dump();
  const double starts[] = {playing.starts[2], playing.starts[0], playing.starts[1]};
  for (std::size_t i = 0; i < 3; ++i) {
    EXPECT_EQ(items[i]["status"], "ok");
    ASSERT_FALSE(items[i]["playing"].empty()) << items[i].dump();
    EXPECT_NEAR(items[i]["playing"][0]["from_s"].get<double>(), starts[i], 0.1);
  }
  EXPECT_EQ(items[1]["key"], may_hold[1].key);
  EXPECT_EQ(items[2]["key"], may_hold.back().key);
  const std::string drill = take + "/items/" + items[2]["item"].dump();
  const Json hearing = get(drill + "/hearing").json;
  EXPECT_EQ(hearing["notes"].size(), may_hold.back().timeline.notes.size());
  EXPECT_EQ(get(drill + "/timeline").json["notes"].size(), hearing["notes"].size());
  EXPECT_EQ(get(drill + "/engraving").status, 202);
  EXPECT_EQ(get(take + "/items/77/hearing").status, 404);
  EXPECT_EQ(get(take).json["status"], "ok");
}

TEST_F(TakeItems, FindingsOfAllItemsHaveIdsOfTheirOwn) {
  const auto may_hold = expected();
  Playing playing({may_hold[1], may_hold[0]});
  const std::string take =
      hear("&student=" + std::to_string(ada) + "&piece=" + std::to_string(piece), playing.wav());
  std::vector<std::string> ids;
  const Json items = get(take + "/items").json["items"];
  for (const Json& item : items) {
    const bool own = item["item"] == 0;
    const std::string path = own ? "" : "/items/" + item["item"].dump();
    const Json hearing = get(take + path + "/hearing").json;
    for (const Json& finding : hearing["findings"]) {
      ids.push_back(finding["id"]);
    }
  }
  EXPECT_GT(ids.size(), 1u);
  std::sort(ids.begin(), ids.end());
  EXPECT_EQ(std::unique(ids.begin(), ids.end()), ids.end());
}

TEST_F(TakeItems, ATakeWithoutALessonHoldsThePieceAlone) {
  Playing playing({expected()[0]});
  const std::string take = hear("&piece=" + std::to_string(piece), playing.wav());
  const Json items = get(take + "/items").json["items"];
  ASSERT_EQ(items.size(), 1u);
  EXPECT_EQ(items[0]["kind"], "piece");
  // As books of earlier versions have it.
  for (const auto& entry : std::filesystem::recursive_directory_iterator(options.book / "takes")) {
    if (entry.path().filename() == "items.json") std::filesystem::remove(entry.path());
  }
  EXPECT_EQ(get(take + "/items").json["items"], items);
  EXPECT_EQ(patch(take, {{"lesson", 999}}).status, 404);
}

}  // namespace
}  // namespace endpin::desk
