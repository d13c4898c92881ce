#include "endpin/lesson/drill.h"

#include <algorithm>
#include <set>

#include <gtest/gtest.h>

#include "endpin/lesson/exercise.h"
#include "endpin/lesson/lesson.h"
#include "endpin/lesson/places.h"
#include "endpin/study/study.h"

#include "tune_of_chance.h"

namespace endpin {
namespace {

constexpr Trouble all_troubles[] = {
    Trouble::rhythm, Trouble::twin,      Trouble::crossing,   Trouble::shift,  Trouble::reach,
    Trouble::slur,   Trouble::long_note, Trouble::fast_notes, Trouble::bowing, Trouble::other};

std::set<int> sounding_pitches(const Timeline& timeline) {
  std::set<int> pitches;
  for (const TimelineNote& note : timeline.notes) pitches.insert(note.midi);
  return pitches;
}

void expect_bars_add_up(const Exercise& exercise) {
  for (const Bar& bar : exercise.score.parts[0].bars) {
    Beats sum;
    for (const Note& note : bar.notes) {
      if (note.in_chord) continue;
      EXPECT_EQ(note.onset, sum) << exercise.key;
      sum += note.duration;
    }
    EXPECT_EQ(sum, bar.length) << exercise.key;
  }
}

// All 15 keys, 2/4 3/4 4/4 6/8, four instruments, every trouble.
TEST(Drills, KeepToThePiecesNotesOrOpenStringsAndFillTheirBars) {
  const TimeSignature metres[] = {metre(2, 4), metre(3, 4), metre(4, 4), metre(6, 8)};
  unsigned seed = 100;
  int made = 0;
  for (int fifths = -7; fifths <= 7; ++fifths) {
    for (const TimeSignature& time : metres) {
      ++seed;
      const Instrument& on = instrument(all_instruments[seed % 4]);
      const ChanceTune tune = chance_tune(seed, on, "extensions", fifths, seed % 2 == 0, time, 4);
      std::set<int> allowed = sounding_pitches(tune.timeline);
      for (const SpelledPitch open : on.strings) allowed.insert(open.midi());
      for (const Trouble trouble : all_troubles) {
        DrillPlace place{trouble, 1, trouble == Trouble::shift ? 2 : 1, std::nullopt, 1};
        if (trouble == Trouble::twin) place.twin = 2;
        const Material material = tune.material();
        for (const Drill& drill : drills(material, place, {})) {
          const auto exercise = exercise_of(material, drill);
          if (!exercise) continue;  // the bar has only rests
          ++made;
          expect_bars_add_up(*exercise);
          for (const TimelineNote& note : exercise->timeline.notes) {
            EXPECT_TRUE(allowed.contains(note.midi)) << exercise->key << ' ' << note.midi;
          }
          for (const NoteMarking& note : exercise->markings.notes) {
            EXPECT_TRUE(note.playable) << exercise->key << ' ' << note.id;
          }
        }
      }
    }
  }
  EXPECT_GT(made, 800);
}

TEST(Drills, OnOpenStringsAreFingeredOpen) {
  const ChanceTune tune =
      chance_tune(7, instrument(InstrumentKind::violin), "first-position", 1, false, metre(4, 4));
  const Material material = tune.material();
  for (const Drill& drill : drills(material, {Trouble::crossing, 1}, {})) {
    if (drill.recipe != "open-strings") continue;
    const auto exercise = exercise_of(material, drill);
    ASSERT_TRUE(exercise);
    for (const TimelineNote& note : exercise->timeline.notes) EXPECT_TRUE(note.open) << note.id;
  }
}

TEST(Lessons, NameTheSameKeysAndNotesForTheSamePiece) {
  const ChanceTune tune =
      chance_tune(9, instrument(InstrumentKind::cello), "first-position", 2, false, metre(4, 4));
  const auto lesson = [&] {
    LessonRequest request;
    request.material = tune.material();
    request.places = {{Trouble::rhythm, 1}, {Trouble::reach, 3}};
    return make_lesson(request).value();
  };
  const Lesson first = lesson();
  const Lesson second = lesson();
  EXPECT_EQ(first.order, second.order);
  ASSERT_EQ(first.exercises.size(), second.exercises.size());
  std::set<std::string> ids;
  for (std::size_t i = 0; i < first.exercises.size(); ++i) {
    EXPECT_EQ(first.exercises[i].score, second.exercises[i].score);
    for (const TimelineNote& note : first.exercises[i].timeline.notes) ids.insert(note.id);
  }
  std::size_t notes = 0;
  for (const Exercise& exercise : first.exercises) {
    notes += sounding_pitches(exercise.timeline).empty() ? 0 : 1;
    for (const TimelineNote& note : exercise.timeline.notes) {
      EXPECT_TRUE(note.id.starts_with(exercise.key + "-n"));
    }
  }
  EXPECT_EQ(notes, first.exercises.size());
}

TEST(Goals, AreThreeAtMostAndShareBarsOfOneTrouble) {
  const ChanceTune tune =
      chance_tune(9, instrument(InstrumentKind::cello), "first-position", 2, false, metre(4, 4));
  const Part& part = tune.score.parts[0];
  const auto found = goals(part, {{Trouble::long_note, 7},
                                  {Trouble::rhythm, 1},
                                  {Trouble::long_note, 3},
                                  {Trouble::reach, 2},
                                  {Trouble::slur, 4}});
  ASSERT_EQ(found.size(), 3u);
  EXPECT_EQ(found[0].bars, (std::vector<std::string>{"4", "8"}));
  EXPECT_EQ(say(found[0].for_child, Language::en_us),
            "Hold the long notes in measures 4 and 8 to the very end.");
}

TEST(Goals, AreSaidForEveryTroubleInEveryLanguage) {
  for (const Trouble trouble : all_troubles) {
    for (const Language language : all_languages) {
      for (const char* reader : {".child", ".adult"}) {
        const std::string key = "goal." + std::string(name(trouble)) + reader;
        EXPECT_FALSE(catalogue_text(key, language).empty()) << key << ' ' << tag(language);
      }
    }
  }
}

TEST(Drills, AreSaidForEveryRecipeInEveryLanguage) {
  for (const char* recipe : {"alone", "rhythm", "counted", "in-turn", "shift", "open-strings",
                             "growing", "slur-later", "dotted"}) {
    for (const Language language : all_languages) {
      const std::string key = std::string("drill.") + recipe;
      EXPECT_FALSE(catalogue_text(key, language).empty()) << key;
      EXPECT_FALSE(catalogue_text(key + ".why", language).empty()) << key;
    }
  }
}

}  // namespace
}  // namespace endpin
