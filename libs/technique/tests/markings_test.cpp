#include "endpin/technique/markings.h"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "endpin/score/unfold.h"

namespace endpin {
namespace {

struct Piece {
  Score score;
  Timeline timeline;
};

Note quarter(const std::string& id, const char* pitch, int beat) {
  Note note;
  note.id = id;
  note.pitch = *SpelledPitch::parse(pitch);
  note.onset = Beats(beat);
  note.duration = Beats(1);
  return note;
}

// Two bars of 4/4 in D major for the cello, the second repeated with the first.
Piece scale(bool repeated = false) {
  Piece piece;
  Part part;
  part.id = "P1";
  const char* pitches[] = {"D3", "E3", "F#3", "G3", "A3", "B3", "C#4", "D4"};
  for (int b = 0; b < 2; ++b) {
    Bar bar;
    bar.number = std::to_string(b + 1);
    bar.length = Beats(4);
    if (b == 0) {
      Change key{ChangeKind::key, Beats(0), {2, "major"}, {}, {}};
      Change time;
      time.kind = ChangeKind::time;
      bar.changes = {key, time};
    }
    for (int i = 0; i < 4; ++i) {
      bar.notes.push_back(quarter("n" + std::to_string(4 * b + i), pitches[4 * b + i], i));
    }
    if (b == 1) bar.navigation.repeat_end = repeated;
    part.bars.push_back(bar);
  }
  piece.score.parts.push_back(part);
  piece.timeline = *timeline(piece.score, 0, "cello");
  return piece;
}

const Instrument& cello = instrument(InstrumentKind::cello);

TEST(Markings, ProposesFingersBowsAndReasons) {
  const Piece piece = scale();
  const Markings markings = mark(piece.score, 0, piece.timeline, cello);
  ASSERT_EQ(markings.notes.size(), 8u);
  EXPECT_EQ(markings.step, "first-position");
  const int fingers[] = {0, 1, 3, 4, 0, 1, 3, 4};
  for (std::size_t i = 0; i < 8; ++i) {
    EXPECT_EQ(markings.notes[i].finger, fingers[i]);
    EXPECT_EQ(markings.notes[i].finger_origin, Origin::proposed);
    EXPECT_EQ(markings.notes[i].bow, i % 2 == 0 ? Bow::down : Bow::up);
    const std::string says = say(markings.notes[i].fingering_reason, Language::en_gb);
    EXPECT_EQ(says.find('['), std::string::npos) << says;
  }
  EXPECT_TRUE(markings.notes[0].bow_shown);
  EXPECT_FALSE(markings.notes[1].bow_shown);
}

TEST(Markings, ThePrintedStandsAndTheTeacherWinsOverIt) {
  Piece piece = scale();
  piece.score.parts[0].bars[0].notes[1].printed.fingers = {4};
  piece.score.parts[0].bars[0].notes[0].printed.bow = Bow::up;
  Markings markings = mark(piece.score, 0, piece.timeline, cello);
  EXPECT_EQ(markings.notes[1].finger, 4);
  EXPECT_EQ(markings.notes[1].finger_origin, Origin::printed);
  EXPECT_EQ(markings.notes[1].string, 3);
  EXPECT_EQ(markings.notes[0].bow, Bow::up);
  EXPECT_EQ(markings.notes[1].bow, Bow::down);
  MarkingOptions options;
  options.teacher = {{"n1", std::nullopt, 1, std::nullopt, std::nullopt},
                     {"n0", std::nullopt, std::nullopt, std::nullopt, Bow::down}};
  markings = mark(piece.score, 0, piece.timeline, cello, options);
  EXPECT_EQ(markings.notes[1].finger, 1);
  EXPECT_EQ(markings.notes[1].finger_origin, Origin::teacher);
  EXPECT_EQ(markings.notes[0].bow, Bow::down);
  EXPECT_EQ(markings.notes[0].bow_origin, Origin::teacher);
}

TEST(Markings, ARepeatKeepsTheWrittenDirections) {
  Piece piece = scale(true);
  ASSERT_EQ(piece.timeline.notes.size(), 16u);
  const Markings markings = mark(piece.score, 0, piece.timeline, cello);
  ASSERT_EQ(markings.strokes.size(), 16u);
  for (std::size_t i = 0; i < 8; ++i) {
    EXPECT_EQ(markings.strokes[i].bow, markings.strokes[i + 8].bow);
  }
  EXPECT_EQ(markings.strokes[8].link, StrokeLink::alternate);
}

// A stopped harmonic takes two fingers, and sounds neither's pitch: we propose none.
TEST(Markings, ProposeNoFingerForAStoppedHarmonic) {
  Piece piece = scale();
  piece.score.parts[0].bars[0].notes[2].artificial_harmonic = true;
  const Markings markings = mark(piece.score, 0, piece.timeline, cello);
  EXPECT_FALSE(markings.notes[2].finger);
  EXPECT_FALSE(markings.notes[2].string);
  EXPECT_TRUE(markings.notes[2].playable);
  EXPECT_TRUE(markings.notes[2].bow);
  EXPECT_EQ(markings.notes[3].finger, 4);
  for (const MarkingRemark& remark : markings.remarks) EXPECT_NE(remark.kind, "unplayable");
}

TEST(Markings, AreCopiedIntoTheTimeline) {
  Piece piece = scale(true);
  const Markings markings = mark(piece.score, 0, piece.timeline, cello);
  apply(markings, piece.timeline);
  EXPECT_EQ(piece.timeline.notes[10].finger, 3);
  EXPECT_EQ(piece.timeline.notes[10].string, 2);
  EXPECT_TRUE(piece.timeline.notes[0].open);
  EXPECT_EQ(piece.timeline.notes[10].stroke_id, 10);
}

TEST(Markings, AreWrittenAsJson) {
  const Piece piece = scale();
  const auto json = nlohmann::json::parse(to_json(mark(piece.score, 0, piece.timeline, cello)));
  EXPECT_EQ(json["schema"], "endpin.markings/1");
  EXPECT_EQ(json["notes"][2]["finger"], 3);
  EXPECT_EQ(json["notes"][2]["position"], 1);
  EXPECT_EQ(json["notes"][0]["bow"]["direction"], "down");
  EXPECT_FALSE(json["notes"][0]["reason"]["says"].get<std::string>().empty());
}

}  // namespace
}  // namespace endpin
