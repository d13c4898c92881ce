#pragma once

#include <string>

#include "endpin/lesson_folder/lesson_folder.h"

namespace endpin::app {

/// "piece.svg", "piece-2.svg", …
std::string piece_picture(std::size_t page);

/// `endpin.lesson/1`, documented in docs/schema/lesson.schema.json.
std::string lesson_json(const LessonOrder& order, const LessonPlan& plan, std::size_t piece_pages);

}  // namespace endpin::app
