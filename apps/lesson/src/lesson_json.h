#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "endpin/lesson_folder/lesson_folder.h"

namespace endpin::app {

/// "piece.svg", "piece-2.svg", …
std::string piece_picture(std::size_t page);

/// `endpin.lesson/1`, documented in docs/schema/lesson.schema.json.
std::string lesson_json(const LessonOrder& order, const LessonPlan& plan, std::size_t piece_pages);

/// Pictures and sounds that a lesson.json names; plain file names only. Empty if it cannot be read.
std::vector<std::string> files_named_in(std::string_view lesson_json);

}  // namespace endpin::app
