#pragma once

#include <string>
#include <utility>
#include <vector>

#include "endpin/lesson_folder/lesson_folder.h"

namespace endpin::app {

/// One file of sound: its name and its bytes (Opus in Ogg).
using SoundFile = std::pair<std::string, std::string>;

/// The four sounds of one piece of music, as files of the lesson's folder. All have a count-in.
struct SoundNames {
  std::string part;          ///< the model alone
  std::string click;         ///< with a click
  std::string drone;         ///< with click and drone
  std::string without_part;  ///< click and drone, to play with
};
SoundNames sound_names(const std::string& key);

/// The sounds of the piece ("piece") at the goal's tempo, and of each exercise that goes home at
/// its first rung.
Result<std::vector<SoundFile>> play_all(const LessonOrder& order, const LessonPlan& plan);

}  // namespace endpin::app
