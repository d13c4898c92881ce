#pragma once

#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "endpin/app/score_input.h"
#include "endpin/base/result.h"
#include "endpin/engraving/sheet.h"
#include "endpin/instrument/instrument.h"
#include "endpin/lesson/lesson.h"
#include "endpin/study/study.h"
#include "endpin/technique/markings.h"
#include "endpin/timeline/timeline.h"
#include "endpin/words/language.h"

namespace endpin::app {

/// What a lesson is to be made of, and for whom.
struct LessonOrder {
  ScoreInput input;
  std::string step;  ///< empty: what the piece demands
  std::vector<TeacherMarking> teacher;
  std::vector<HouseRule> rules;
  std::optional<double> goal_per_minute;   ///< of the beat; unset: the score's tempo
  std::optional<double> clean_per_minute;  ///< heard clean last
  std::vector<Finding> findings;           ///< of the last takes, the gravest first
  std::vector<Remark> remarks;             ///< the teacher's own, first on the sheet
  std::vector<std::string> items;          ///< keys in order; empty: what is proposed
  /// Kinds of findings that the take-home page may word by itself; unset: `usual_kinds_to_say()`.
  std::optional<std::vector<std::string>> may_say;
  Language language = Language::en_us;
  bool for_adult = false;
  Paper paper = Paper::a4;
  bool large_print = false;
  bool proposed_lighter = true;  ///< on the sheet: what we proposed is drawn lighter than print
  std::string date;              ///< "2026-03-01"
  std::string student;           ///< a name for the sheet, or empty: a line to write it on
  std::string note;              ///< the teacher's own words
};

/// Lets what was heard decide: what to work on, the surest first, and from which tempo to climb
/// unless the order says it.
void answer(LessonOrder& order, const Hearing& heard);

/// The same piece for `instrument`, if its part is another one's: in the octave and clef of that
/// one. Fingers and strings that were printed for another instrument are taken out.
Result<ScoreInput> for_instrument(ScoreInput input, const Instrument& instrument,
                                  std::string_view step, int fifths = 0);

/// A lesson thought through, nothing drawn or played yet.
struct LessonPlan {
  const Instrument* instrument = nullptr;
  std::string step;
  Timeline timeline;  ///< of the piece, with fingerings and strokes
  Markings markings;
  Study study;
  ScaleKey key;
  Lesson lesson;
};

/// Fast (milliseconds); what the desk asks for proposals. Errors: those of `make_lesson`, and a
/// part of which nothing can be played on the instrument.
Result<LessonPlan> plan_lesson(const LessonOrder& order);

/// Told what is being done, for a line on the screen: "engraving", "playing", "printing". Called
/// from one thread at a time.
using Progress = std::function<void(std::string_view)>;

/// Writes the lesson's folder: it appears whole or not at all. The same order gives the same bytes.
/// sheet.html, sheet.pdf, take-home.html, piece.svg (and piece-2.svg …), for each exercise KEY.svg,
/// for the piece and each exercise KEY-part.opus, KEY-click.opus, KEY-drone.opus and
/// KEY-without-part.opus, piece.musicxml with the markings, and lesson.json (`endpin.lesson/1`,
/// docs/schema/lesson.schema.json), which names them all.
Result<void> write_lesson(const LessonOrder& order, const std::filesystem::path& folder,
                          const Progress& progress = {});

}  // namespace endpin::app
