#pragma once

#include <string>
#include <vector>

#include "endpin/lesson_folder/class_set_folder.h"

namespace endpin::app {

/// The sheets of a class set: the teacher's score first, then one for each instrument, with its
/// tune, its warm-up, the second voice and the lines for the newest. Draws all with one start of
/// the engraver.
Result<std::vector<Sheet>> class_set_sheets(const ClassSetOrder& order, const ClassSet& set);

}  // namespace endpin::app
