#pragma once

#include <functional>

#include "endpin/base/result.h"
#include "endpin/lesson_folder/lesson_folder.h"

namespace endpin::cli {

/// Does long work; where somebody watches, a line on the terminal says what it is about, and goes
/// when it is done.
Result<void> with_progress(const std::function<Result<void>(const app::Progress&)>& work);

}  // namespace endpin::cli
