#pragma once

#include <string>
#include <vector>

#include "endpin/lesson_folder/class_set_folder.h"

#include "sounds.h"

namespace endpin::app {

std::string play_along_of_all();  ///< names of files
std::string play_along_without(const Instrument& instrument);

/// Everybody's tune with a bar of count-in, and, where there are two or more, the same without
/// each.
Result<std::vector<SoundFile>> play_alongs(const ClassSetOrder& order, const ClassSet& set);

}  // namespace endpin::app
