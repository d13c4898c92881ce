#pragma once

#include <string>

#include "endpin/lesson_folder/lesson_folder.h"

namespace endpin::app {

/// The lesson as one page for a phone: take-home.html.
Result<std::string> take_home_of(const LessonOrder& order, const LessonPlan& plan,
                                 const std::string& lesson_json);

}  // namespace endpin::app
