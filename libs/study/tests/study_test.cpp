#include "endpin/study/study.h"

#include <algorithm>
#include <fstream>
#include <sstream>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "endpin/notation/read.h"
#include "endpin/score/unfold.h"

#include "../../../tests/contracts/schema_check.h"

namespace endpin {
namespace {

const Instrument& cello = instrument(InstrumentKind::cello);

struct Piece {
  Score score;
  Timeline timeline;
};

Piece demo(const char* name) {
  std::ifstream file(std::string(ENDPIN_SOURCE_DIR) + "/demo/pieces/" + name + ".musicxml");
  std::stringstream bytes;
  bytes << file.rdbuf();
  Piece piece;
  piece.score = *read_score(bytes.str());
  piece.timeline = *timeline(piece.score, 0, "cello");
  return piece;
}

Study study_of(const Piece& piece) { return study(piece.score, 0, piece.timeline, cello); }

TEST(Study, FindsTheKeysOfTheDemoTunes) {
  EXPECT_EQ(study_of(demo("ode-to-joy")).key.key.mode, Mode::major);
  EXPECT_EQ(study_of(demo("new-britain")).key.key.mode, Mode::major);
  EXPECT_NE(study_of(demo("greensleeves")).key.key.mode, Mode::major);
}

// In D major on the cello, F♯3 is the third finger on the D string, first position (practice).
TEST(Study, PlacesTheSharpsUnderTheFingers) {
  const Study s = study_of(demo("ode-to-joy"));
  const auto f_sharp = std::find_if(s.altered.begin(), s.altered.end(), [](const AlteredNote& a) {
    return a.pitch == *SpelledPitch::parse("F#3");
  });
  ASSERT_NE(f_sharp, s.altered.end());
  EXPECT_EQ(f_sharp->string, 2);
  EXPECT_EQ(f_sharp->finger, 3);
  EXPECT_TRUE(f_sharp->in_signature);
  EXPECT_FALSE(f_sharp->from_nut_mm);
}

TEST(Study, GivesDistancesOnlyForAKnownLength) {
  const Piece piece = demo("ode-to-joy");
  StudyOptions options;
  options.string_length_mm = 690;
  const Study s = study(piece.score, 0, piece.timeline, cello, options);
  for (const AlteredNote& a : s.altered) {
    if (a.pitch != *SpelledPitch::parse("F#3")) continue;
    ASSERT_TRUE(a.from_nut_mm);
    EXPECT_NEAR(*a.from_nut_mm, 142.3, 0.1);  // 4 semitones on 69 cm (calculated)
  }
}

// With the click on the quarter an eighth is two notes a click, a half note two clicks (practice).
TEST(Study, CountsClicks) {
  for (const ValueUse& v : study_of(demo("ode-to-joy")).values) {
    if (v.quarters == Beats(2)) {
      EXPECT_EQ(v.clicks, Beats(2));
    }
    if (v.quarters == Beats(1, 2)) {
      EXPECT_EQ(v.clicks, Beats(1, 2));
    }
  }
}

TEST(Study, SpeaksEveryLanguageWithoutGaps) {
  for (const char* name : {"ode-to-joy", "greensleeves", "new-britain"}) {
    const Study s = study_of(demo(name));
    for (const Language language : all_languages) {
      const std::string text = describe(s, language);
      EXPECT_EQ(text.find('['), std::string::npos) << text;
      EXPECT_LE(std::count(text.begin(), text.end(), '\n'), 24);
      EXPECT_GE(std::count(text.begin(), text.end(), '\n'), 4);
    }
  }
}

nlohmann::json schema() {
  std::ifstream file(ENDPIN_SOURCE_DIR "/docs/schema/study.schema.json");
  return nlohmann::json::parse(file);
}

TEST(Study, IsWrittenAsItsSchemaSays) {
  const nlohmann::json wanted = schema();
  for (const char* name : {"ode-to-joy", "greensleeves", "new-britain"}) {
    for (const Language language : all_languages) {
      const auto json = nlohmann::json::parse(to_json(study_of(demo(name)), language));
      EXPECT_EQ(json["schema"], "endpin.study/1");
      EXPECT_THAT(contracts::SchemaCheck::errors(wanted, json), testing::IsEmpty())
          << name << " " << tag(language);
      EXPECT_FALSE(json["values"].empty());
      EXPECT_FALSE(json["counting"]["bars"].empty());
      EXPECT_FALSE(json["form"]["phrases"].empty());
    }
  }
}

TEST(Study, SchemaRefusesWhatIsMissingOrUnknown) {
  const nlohmann::json wanted = schema();
  auto json = nlohmann::json::parse(to_json(study_of(demo("ode-to-joy"))));
  json["key"].erase("tonic");
  json["metre"]["beats"] = "four";
  json["surprise"] = 1;
  EXPECT_EQ(contracts::SchemaCheck::errors(wanted, json).size(), 3u);
}

// A note that the markings retake without a rest is a spot, with its bar and its note.
TEST(Study, FindsRetakes) {
  const Piece piece = demo("ode-to-joy");
  StudyOptions options;
  options.retakes = {piece.timeline.notes[4].id};
  const Study s = study(piece.score, 0, piece.timeline, cello, options);
  const auto spot = std::find_if(s.spots.begin(), s.spots.end(),
                                 [](const Spot& x) { return x.kind == "retake"; });
  ASSERT_NE(spot, s.spots.end());
  EXPECT_EQ(spot->notes, options.retakes);
  EXPECT_EQ(spot->bar, piece.timeline.notes[4].bar);
}

// Who teaches slurs last finds them last: the order of steps is the teacher's.
TEST(Study, NamesTheStepInTheTeachersOrder) {
  const auto score = read_score("X:1\nM:4/4\nL:1/4\nK:D\nD E/F/ F G|(A B) (c d)|d c B A|D4|\n");
  const Timeline line = *timeline(*score, 0, "violin");
  const Instrument& violin = instrument(InstrumentKind::violin);
  EXPECT_EQ(study(*score, 0, line, violin).step.step, "slurs");
  StudyOptions options;
  options.step_order = {"open-strings", "slurs", "first-position"};
  EXPECT_EQ(study(*score, 0, line, violin, options).step.step, "first-position");
}

TEST(Study, SaysWhereSignatureAndNotesDisagree) {
  const auto score =
      read_score("X:1\nM:4/4\nL:1/4\nK:C\nD ^F A d|^c A ^F E|^c A D ^F|A G E ^c|d A ^F D|D4|\n");
  const Timeline line = *timeline(*score, 0, "violin");
  const Study s = study(*score, 0, line, instrument(InstrumentKind::violin));
  EXPECT_FALSE(s.key.agrees);
  EXPECT_EQ(say(s.key.disagreement, Language::en_us),
            "The signature has no sharps or flats, but the notes fit two sharps: check which is "
            "meant.");
}

}  // namespace
}  // namespace endpin
