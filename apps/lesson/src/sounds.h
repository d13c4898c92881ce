#pragma once

#include <string>
#include <utility>
#include <vector>

#include "endpin/lesson_folder/lesson_folder.h"

namespace endpin::app {

/// One file of sound: its name and its bytes (Opus in Ogg).
using SoundFile = std::pair<std::string, std::string>;

/// The piece with its part, with part and click, and without the part; each exercise that goes
/// home, at its first rung, with a click and a count-in.
Result<std::vector<SoundFile>> play_all(const LessonOrder& order, const LessonPlan& plan);

}  // namespace endpin::app
