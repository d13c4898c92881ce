#pragma once

#include "endpin/engraving/sheet.h"
#include "endpin/lesson_folder/lesson_folder.h"

#include "drawing.h"

namespace endpin::app {

/// The sheet of a lesson, everything said in the order's language.
Sheet sheet_of(const LessonOrder& order, const LessonPlan& plan, const Drawings& drawings);

/// "1 March 2026" as `language` writes it. REQUIRES: "2026-03-01".
std::string date_text(std::string_view date, Language language);

/// "♩ = 66": a note value and so many a minute.
std::string tempo_text(Beats unit, double per_minute);

/// Names of instruments and keys are small within a sentence and large at its beginning. All seven
/// languages write theirs with letters that ASCII has.
std::string first_capital(std::string text);

/// "D major", "Ré majeur".
std::string key_said(const ScaleKey& key, Language language);

}  // namespace endpin::app
