#include <cmath>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "endpin/hearing/hearing.h"

namespace endpin {
namespace {

Hearing full_hearing() {
  Hearing h;
  h.status = HearingStatus::ok;
  h.engine_version = "0.1";
  h.score = {"ab", "Violin", "violin"};
  h.recording = {Seconds(12.5), 44100, ""};
  h.reference.a4 = Hertz(441.25);
  h.reference.a4_uncertainty = Cents(2.5);
  h.reference.octaves = -1;
  h.strings = {{"A", Cents(-7.5), Cents(1.2), 3}};
  h.tempo = {72.5, 0.4, Beats(3, 2), 66.0, -2.5, {{0, 72.5}, {1.5, 70}}};
  h.range_from = 0;
  h.range_to = 1;
  h.segments = {{SegmentKind::count_in, 0, Seconds(0), Seconds(1), {}, {}},
                {SegmentKind::playing, 0, Seconds(1), Seconds(2), 0, 1}};
  NoteHearing n;
  n.id = "n1";
  n.bar = "1";
  n.duration = Beats(3, 2);
  n.midi = 62;
  n.state = NoteState::heard;
  n.heard = HeardNote{Seconds(1.2345),
                      Seconds(0.0045),
                      Seconds(2),
                      Seconds(0.025),
                      62,
                      Cents(-3.5),
                      Cents(0.8),
                      12.5,
                      5.5,
                      0.95,
                      0.03,
                      Seconds(-0.01),
                      Decibels(-21.5),
                      Vibrato{5.5, Cents(31)},
                      Decibels(7.5),
                      Decibels(1.5),
                      2.5,
                      0.97};
  n.attempts = {{Seconds(0.5), Seconds(0.75)}};
  NoteHearing unreached;
  unreached.index = 1;
  unreached.onset = Beats(3, 2);
  unreached.duration = Beats(1);
  h.notes = {n, unreached};
  h.extra = {{Seconds(3), Seconds(3.5), 64, 0, 1}};
  h.restarts = {{Seconds(4), 5, 2, 1}};
  h.bars = {{"1", 1, Cents(2), std::nullopt, 0.9, 1}};
  Finding f;
  f.id = "f1";
  f.kind = FindingKind::missed_accidental;
  f.bars = {"7"};
  f.notes = {12};
  f.message_key = "missed-accidental.one";
  f.message_args = {{"count", 2.0}, {"note", std::string("F♯")}};
  f.says = "…";
  f.evidence = {{"cents", -98.5}, {"bars", std::vector<std::string>{"7", "8"}}};
  h.findings = {f};
  return h;
}

TEST(HearingJson, ReadsWhatItWrites) {
  const std::string written = to_json(full_hearing());
  const Result<Hearing> read = hearing_from_json(written);
  ASSERT_TRUE(read) << read.error().line();
  EXPECT_EQ(to_json(*read), written);
  EXPECT_EQ(read->notes[0].heard->vibrato->rate_hz, 5.5);
  EXPECT_EQ(read->findings[0].kind, FindingKind::missed_accidental);
}

TEST(HearingJson, WritesUnknownAsNullNeverAsZero) {
  const auto j = nlohmann::json::parse(to_json(full_hearing()));
  EXPECT_TRUE(j["notes"][1]["heard"].is_null());
  EXPECT_EQ(j["notes"][1]["state"], "not-reached");
  EXPECT_TRUE(j["bars"][0]["deviation_ms"].is_null());
  EXPECT_TRUE(j["backing"].is_null());
  EXPECT_TRUE(j["recording"]["sha256"].is_null());
  EXPECT_TRUE(j["segments"][0]["from_index"].is_null());
}

TEST(HearingJson, WritesAValueThatIsNotFiniteAsNull) {
  Hearing h = full_hearing();
  h.notes[0].heard->deviation_ms = std::nan("");
  const auto j = nlohmann::json::parse(to_json(h));
  EXPECT_TRUE(j["notes"][0]["heard"]["deviation_ms"].is_null());
}

TEST(HearingJson, SaysTheBeatAsAFractionOfAWholeNote) {
  const auto j = nlohmann::json::parse(to_json(full_hearing()));
  EXPECT_EQ(j["tempo"]["beat_unit"], "3/8");
  EXPECT_EQ(j["findings"][0]["tone"], "work");
}

TEST(HearingJson, RefusesOtherDocumentsWithOneLine) {
  for (const char* text : {"", "[]", "{}", R"({"schema":"endpin.hearing/2"})",
                           R"({"schema":"endpin.hearing/1","status":"splendid"})"}) {
    const Result<Hearing> read = hearing_from_json(text);
    ASSERT_FALSE(read) << text;
    EXPECT_THAT(read.error().line(), testing::Not(testing::HasSubstr("\n")));
  }
}

TEST(HearingNames, ComeBack) {
  for (int k = 0; k <= static_cast<int>(FindingKind::clean_at_tempo); ++k) {
    const auto kind = static_cast<FindingKind>(k);
    EXPECT_EQ(finding_kind(name(kind)), kind);
  }
  EXPECT_EQ(note_state("not-reached"), NoteState::not_reached);
  EXPECT_EQ(segment_kind("count-in"), SegmentKind::count_in);
  EXPECT_FALSE(hearing_status("splendid"));
}

}  // namespace
}  // namespace endpin
