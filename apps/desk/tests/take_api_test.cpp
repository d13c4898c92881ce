#include "endpin/book/book.h"

#include "desk_fixture.h"

namespace endpin::desk {
namespace {

using TakeApi = DeskTest;

TEST_F(TakeApi, IsKeptWithADateOfItsEnd) {
  const int ada = add_student("Ada");
  const Said take = send("/takes?name=VID_0042.wav&student=" + std::to_string(ada), tone_wav(0.1));
  ASSERT_EQ(take.status, 201) << take.body;
  EXPECT_EQ(take.json["state"], "unassigned");
  EXPECT_EQ(take.json["student"]["name"], "Ada");
  const auto today = std::chrono::floor<std::chrono::days>(std::chrono::system_clock::now());
  EXPECT_EQ(take.json["delete_after"], book::date(today + std::chrono::days(60)));
  EXPECT_EQ(get("/takes").json["takes"].size(), 1u);
}

TEST_F(TakeApi, TheSameBytesAgainAreTheSameTake) {
  const Said first = send("/takes?name=a.wav", tone_wav(0.1));
  const Said again = send("/takes?name=b.wav", tone_wav(0.1));
  EXPECT_EQ(again.status, 200);
  EXPECT_EQ(again.json["duplicate"], true);
  EXPECT_EQ(again.json["id"], first.json["id"]);
}

TEST_F(TakeApi, OfAStudentOrPieceThatIsNotThereIsRefused) {
  EXPECT_EQ(send("/takes?name=a.wav&student=99", tone_wav(0.1)).status, 404);
  EXPECT_EQ(send("/takes?name=a.wav&piece=99", tone_wav(0.1)).status, 404);
  EXPECT_EQ(send("/takes?name=a.wav&tempo=fast", tone_wav(0.1)).status, 400);
  EXPECT_EQ(get("/takes").json["takes"].size(), 0u);
  EXPECT_TRUE(std::filesystem::is_empty(options.book / "takes"));
}

TEST_F(TakeApi, ASenderIsAssignedOnceAndRemembered) {
  const int ada = add_student("Ada");
  const Said first = send("/takes?name=a.wav&sender=mum%40example.org", tone_wav(0.1));
  EXPECT_EQ(first.json["student"], nullptr);
  const std::string path = "/takes/" + std::to_string(first.json["id"].get<int>());
  EXPECT_EQ(patch(path, {{"student", ada}}).json["student"]["id"], ada);
  const Said second = send("/takes?name=b.wav&sender=mum%40example.org", tone_wav(0.2));
  EXPECT_EQ(second.json["student"]["id"], ada);
}

TEST_F(TakeApi, OfASenderWithTwoChildrenIsGivenToNobodyByItself) {
  const int ada = add_student("Ada");
  const int ben = add_student("Ben");
  const auto from_mum = [&](double seconds) {
    return send("/takes?name=VID_0042.wav&sender=mum", tone_wav(seconds)).json;
  };
  const auto give = [&](const Json& take, int student) {
    patch("/takes/" + std::to_string(take["id"].get<int>()), {{"student", student}});
  };
  give(from_mum(0.1), ada);
  EXPECT_EQ(from_mum(0.2)["student"]["id"], ada);
  give(from_mum(0.3), ben);
  EXPECT_EQ(from_mum(0.4)["student"], nullptr);
  EXPECT_EQ(get("/senders").json["senders"], Json::array({"mum"}));
}

/// What a take-home page sends back.
std::string home_zip(const std::filesystem::path& folder, Json about, const std::string& sound) {
  about["schema"] = "endpin.take/1";
  const auto file = folder / (book::random_hex(4) + ".zip");
  const auto written =
      book::write_archive(file, {{"take.json", {}, about.dump()}, {"take.wav", {}, sound}});
  EXPECT_TRUE(written.has_value());
  return file_bytes(file);
}

TEST_F(TakeApi, FromATakeHomePageKnowsItsStudentLessonAndPieceByItself) {
  const int piece = add_piece();
  const int ada = add_student("Ada");
  const auto token = desk->book().students().token(ada).value().value();
  const Said lesson = post("/lessons", {{"piece", piece}, {"students", {ada}}});
  const int id = lesson.json["id"];
  const std::string mark = desk->book().lessons().find(id).value()->folder_name;
  const std::string sound = tone_wav(0.3);
  const Json about = {{"lesson_id", mark},
                      {"student_token", token},
                      {"item", "piece"},
                      {"tempo", 66},
                      {"recorded_at", "2026-03-01T09:30:00Z"},
                      {"audio_sha256", book::sha256(sound)}};
  const Said take = send("/takes?name=ode-2026-03-01.zip", home_zip(root, about, sound));
  ASSERT_EQ(take.status, 201) << take.body;
  EXPECT_EQ(take.json["student"]["name"], "Ada");
  EXPECT_EQ(take.json["piece"]["id"], piece);
  EXPECT_EQ(take.json["lesson"], id);
  EXPECT_EQ(take.json["item"], "piece");
  EXPECT_EQ(take.json["tempo_bpm"], 66);
  EXPECT_EQ(take.json["recorded"], "2026-03-01T09:30:00Z");
  EXPECT_EQ(take.json["name"], "ode-2026-03-01.wav");
  EXPECT_EQ(take.json["sha256"], book::sha256(sound));
}

TEST_F(TakeApi, FromAnUnknownPageIsStillKept) {
  const std::string sound = tone_wav(0.3);
  const Said take = send("/takes?name=a.zip",
                         home_zip(root, {{"lesson_id", "x"}, {"student_token", nullptr}}, sound));
  ASSERT_EQ(take.status, 201) << take.body;
  EXPECT_EQ(take.json["student"], nullptr);
  EXPECT_EQ(take.json["state"], "unassigned");
}

TEST_F(TakeApi, AZipThatIsNoTakeOrDoesNotMatchIsRefusedInOneLine) {
  EXPECT_EQ(send("/takes?name=a.zip", std::string("PK\3\4") + "not really").status, 422);
  const Said other = send("/takes?name=a.zip",
                          home_zip(root, {{"audio_sha256", std::string(64, '0')}}, tone_wav(0.1)));
  EXPECT_EQ(other.status, 422);
  EXPECT_NE(other.json["error"]["what"].get<std::string>().find("not the one"), std::string::npos);
  EXPECT_EQ(get("/takes").json["takes"].size(), 0u);
  EXPECT_TRUE(std::filesystem::is_empty(options.book / "incoming"));
}

TEST_F(TakeApi, IsPlayedInABrowserWithRanges) {
  const Said take = send("/takes?name=a.wav", tone_wav(1.0));
  const std::string path = "/takes/" + std::to_string(take.json["id"].get<int>());
  const Said whole = get(path + "/audio");
  EXPECT_EQ(whole.status, 200);
  EXPECT_EQ(whole.body.substr(0, 4), "RIFF");
  const Said part = get(path + "/audio", {{"Range", "bytes=4-11"}});
  EXPECT_EQ(part.status, 206);
  EXPECT_EQ(part.body, whole.body.substr(4, 8));
  const Said last = get(path + "/audio", {{"Range", "bytes=-10"}});
  EXPECT_EQ(last.body, whole.body.substr(whole.body.size() - 10));
  const Said open_end = get(path + "/audio", {{"Range", "bytes=100-"}});
  EXPECT_EQ(open_end.body, whole.body.substr(100));
  EXPECT_EQ(get(path + "/audio", {{"Range", "bytes=99999999-"}}).status, 416);
  EXPECT_EQ(get(path + "/original").body, tone_wav(1.0));
}

TEST_F(TakeApi, PeaksFollowTheSound) {
  const Said take = send("/takes?name=a.wav", tone_wav(1.0));
  const Said peaks =
      get("/takes/" + std::to_string(take.json["id"].get<int>()) + "/peaks?per_second=50");
  ASSERT_EQ(peaks.status, 200) << peaks.body;
  EXPECT_NEAR(static_cast<double>(peaks.json["peaks"].size()), 50.0, 1.0);
  // tone_wav's amplitude is 8000 of 32768.
  EXPECT_NEAR(peaks.json["peaks"][10][1].get<double>(), 8000.0 / 32768, 0.01);
  EXPECT_NEAR(peaks.json["peaks"][10][0].get<double>(), -8000.0 / 32768, 0.01);
}

TEST_F(TakeApi, AForeignFileIsNeverServedAsAPage) {
  const Said take = send("/takes?name=evil.html", "<script>alert(1)</script>");
  const Said original = get("/takes/" + std::to_string(take.json["id"].get<int>()) + "/original");
  EXPECT_EQ(original.headers.find("Content-Type")->second, "application/octet-stream");
  EXPECT_EQ(original.headers.find("X-Content-Type-Options")->second, "nosniff");
  EXPECT_EQ(original.headers.find("Content-Disposition")->second.substr(0, 10), "attachment");
}

TEST_F(TakeApi, DeletedLeavesNoFile) {
  const Said take = send("/takes?name=a.wav", tone_wav(0.1));
  const std::string path = "/takes/" + std::to_string(take.json["id"].get<int>());
  get(path + "/audio");
  EXPECT_FALSE(std::filesystem::is_empty(options.book / "takes"));
  EXPECT_EQ(remove(path).status, 204);
  EXPECT_TRUE(std::filesystem::is_empty(options.book / "takes"));
}

TEST_F(TakeApi, ListsComeInPages) {
  for (int i = 1; i <= 5; ++i) send("/takes?name=a.wav", tone_wav(0.01 * i));
  const Said first = get("/takes?limit=2");
  EXPECT_EQ(first.json["takes"].size(), 2u);
  const Said second = get("/takes?limit=2&before=" + first.json["next"].dump());
  EXPECT_EQ(second.json["takes"][0]["id"], first.json["takes"][1]["id"].get<int>() - 1);
  EXPECT_EQ(get("/takes?limit=9999").status, 400);
}

class HearingApi : public HearingDeskTest {};

TEST_F(HearingApi, ATakeWithAPieceIsHeard) {
  const int piece = add_piece();
  const Said take = send("/takes?name=a.wav&piece=" + std::to_string(piece), tone_wav(2));
  const std::string path = "/takes/" + std::to_string(take.json["id"].get<int>());
  const Said settled = when_settled(path);
  ASSERT_EQ(settled.json["state"], "heard") << settled.body;
  EXPECT_NEAR(settled.json["seconds"].get<double>(), 2.0, 0.01);
  const Said hearing = get(path + "/hearing");
  EXPECT_EQ(hearing.json["schema"], "endpin.hearing/1");
  EXPECT_EQ(hearing.json["recording"]["sha256"], take.json["sha256"]);
  EXPECT_EQ(hearing.json["notes"].size(),
            get("/pieces/" + std::to_string(piece)).json["notes"].get<std::size_t>());
}

TEST_F(HearingApi, WhatIsNoRecordingFailsWithOneClearLine) {
  const std::string piece = std::to_string(add_piece());
  const Said take = send("/takes?name=notes.wav&piece=" + piece, "this is a text file");
  const Said settled = when_settled("/takes/" + std::to_string(take.json["id"].get<int>()));
  EXPECT_EQ(settled.json["state"], "failed");
  EXPECT_EQ(settled.json["error"]["file"], "notes.wav");
  EXPECT_NE(settled.json["error"]["remedy"], "");
}

TEST_F(HearingApi, EventsTellOfIt) {
  std::string stream;
  std::thread listening([&] {
    httplib::Client events("127.0.0.1", desk->port());
    events.set_read_timeout(20);
    events.Get("/api/events", [&](const char* data, std::size_t size) {
      stream.append(data, size);
      return stream.find("\"state\":\"failed\"") == std::string::npos;
    });
  });
  std::this_thread::sleep_for(std::chrono::milliseconds(300));
  send("/takes?name=notes.wav&piece=" + std::to_string(add_piece()), "text");
  listening.join();
  EXPECT_NE(stream.find("event: take\ndata: {"), std::string::npos);
  EXPECT_NE(stream.find("\"state\":\"failed\""), std::string::npos);
}

}  // namespace
}  // namespace endpin::desk
