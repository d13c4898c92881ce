#pragma once

#include <map>
#include <string>
#include <vector>

#include "endpin/lesson_folder/lesson_folder.h"

namespace endpin::app {

/// The pictures of a lesson: of the piece, and of each exercise that goes home.
struct Drawings {
  std::string musicxml;                          ///< the part, with its markings
  std::vector<std::string> piece;                ///< SVG pages
  double staff_height = 7;                       ///< of the piece, millimetres
  double exercise_staff_height = 5;              ///< of the exercises
  std::map<std::string, std::string> exercises;  ///< SVG by key
  std::map<std::string, bool> wide;              ///< by key: over the whole width of the sheet
};

/// Draws all with one start of the engraver.
Result<Drawings> draw(const LessonOrder& order, const LessonPlan& plan);

}  // namespace endpin::app
