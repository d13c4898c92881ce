#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "endpin/base/audio.h"

namespace endpin::evaluation {

/// What is said between two tries.
inline constexpr const char* rehearsal_words =
    "Shall we try that once more from the beginning? I had the bow too close to the bridge, and "
    "then I lost my place. One moment, please, the stand is falling over. All right, here we go "
    "again: one, two, three, four.";

/// English read by espeak-ng at `words_a_minute`, by way of a file in `cache`; empty where it
/// cannot be had.
std::optional<Audio> speech(const std::filesystem::path& cache, const std::string& words,
                            int words_a_minute = 175);

}  // namespace endpin::evaluation
