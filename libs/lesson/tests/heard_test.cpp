#include "endpin/lesson/heard.h"

#include <algorithm>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "endpin/lesson/lesson.h"

#include "tune_of_chance.h"

namespace endpin {
namespace {

using testing::ElementsAre;
using testing::IsEmpty;

Finding finding(FindingKind kind, std::vector<std::string> bars) {
  Finding result;
  result.kind = kind;
  result.bars = std::move(bars);
  return result;
}

ChanceTune eight_bars() {
  return chance_tune(9, instrument(InstrumentKind::cello), "first-position", 2, false, metre(4, 4));
}

TEST(Heard, EveryFindingToWorkOnHasATroubleAndNoGoodOneHas) {
  for (int i = 0; i <= static_cast<int>(FindingKind::clean_at_tempo); ++i) {
    const auto kind = static_cast<FindingKind>(i);
    const bool drilled = tone(kind) == Tone::work && kind != FindingKind::string_out_of_tune;
    EXPECT_EQ(trouble_of(kind).has_value(), drilled) << name(kind);
  }
}

TEST(Heard, FindingsBecomePlacesOfTheBarsThatTheyName) {
  const ChanceTune tune = eight_bars();
  const auto places =
      places_heard({finding(FindingKind::short_held, {"4", "8", "99"}),
                    finding(FindingKind::short_held, {"4"}), finding(FindingKind::in_tune, {"2"})},
                   tune.score.parts[0]);
  ASSERT_EQ(places.size(), 2U);
  EXPECT_EQ(places[0].bar, 3);
  EXPECT_EQ(places[1].bar, 7);
  EXPECT_EQ(places[0].trouble, Trouble::long_note);
}

TEST(Heard, TheOtherBarIsPractisedInTurn) {
  const ChanceTune tune = eight_bars();
  Finding other = finding(FindingKind::other_bar_rhythm, {"6"});
  other.message_args["twin"] = std::vector<std::string>{"2"};
  const auto places = places_heard({other}, tune.score.parts[0]);
  ASSERT_EQ(places.size(), 1U);
  EXPECT_EQ(places[0].trouble, Trouble::twin);
  EXPECT_EQ(places[0].twin, 1);
}

TEST(Heard, OnePairOfTwinsIsOnePlaceWhicheverBarWasPlayedForTheOther) {
  const DrillPlace heard{Trouble::twin, 5, 1, 1};
  EXPECT_EQ(joined({heard}, {{Trouble::twin, 1, 1, 5}}).size(), 1U);
  EXPECT_EQ(joined({heard}, {{Trouble::twin, 1, 1, 6}}).size(), 2U);
  EXPECT_EQ(joined({{Trouble::rhythm, 5}}, {{Trouble::notes, 5}}).size(), 2U);
}

TEST(Heard, WhatWasHeardComesBeforeWhatTheScoreShows) {
  const ChanceTune tune = eight_bars();
  LessonRequest request;
  request.material = tune.material();
  request.places = joined(places_heard({finding(FindingKind::flat, {"5"})}, tune.score.parts[0]),
                          {{Trouble::rhythm, 1}, {Trouble::intonation, 4}});
  const Lesson lesson = make_lesson(request).value();
  ASSERT_FALSE(lesson.goals.empty());
  EXPECT_EQ(lesson.goals[0].source, GoalSource::heard);
  EXPECT_THAT(lesson.goals[0].bars, ElementsAre("5"));
  const auto drill = std::find_if(lesson.items.begin(), lesson.items.end(),
                                  [](const LessonItem& i) { return i.kind == ItemKind::drill; });
  ASSERT_NE(drill, lesson.items.end());
  EXPECT_THAT(drill->bars, ElementsAre("5"));
  EXPECT_TRUE(drill->ticked);
}

TEST(Goals, BeginWithTheTeachersOwnWords) {
  const ChanceTune tune = eight_bars();
  const auto places = places_heard({finding(FindingKind::short_held, {"4"})}, tune.score.parts[0]);
  const auto set = goals(tune.score.parts[0], joined(places, {{Trouble::rhythm, 1}}),
                         {{"Thumb round, please.", {}},
                          {"Paint to the end of the wall!", FindingKind::short_held},
                          {"Never said.", FindingKind::sharp}});
  ASSERT_EQ(set.size(), 3U);
  EXPECT_EQ(set[0].said(false, Language::de), "Thumb round, please.");
  EXPECT_EQ(set[1].said(false, Language::de), "Paint to the end of the wall!");
  EXPECT_THAT(set[1].bars, ElementsAre("4"));
  EXPECT_EQ(set[2].source, GoalSource::score);
  EXPECT_THAT(set[2].words, IsEmpty());
}

// A key without a text is said in brackets.
TEST(Goals, AreSaidInEveryLanguageForChildAndAdult) {
  const ChanceTune tune = eight_bars();
  for (const Language language : all_languages) {
    for (int t = 0; t <= static_cast<int>(Trouble::other); ++t) {
      const auto set = goals(tune.score.parts[0], {{static_cast<Trouble>(t), 1}});
      for (const bool adult : {false, true}) {
        const std::string says = set.at(0).said(adult, language);
        EXPECT_EQ(says.find('['), std::string::npos) << tag(language) << ": " << says;
        EXPECT_NE(says.find('2'), std::string::npos) << tag(language) << ": " << says;
      }
    }
  }
}

}  // namespace
}  // namespace endpin
