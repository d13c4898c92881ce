#pragma once

#include <filesystem>
#include <string>

#include "endpin/base/audio.h"
#include "endpin/base/result.h"
#include "endpin/media/decode.h"

namespace endpin::app {

/// Decodes a file of a stranger in a child process that can do nothing else (apps/decode): no
/// network, no other file, no program, 60 s of processor, 768 MiB. What goes wrong in there, a
/// crash too, is one error of input here. The child is `endpin-decode` beside this program, or
/// what the environment variable ENDPIN_DECODE names. Thread-safe.
Result<Audio> decode_in_child(const std::filesystem::path& path, const DecodeLimits& limits = {});

/// Where the child's program is: a path, or a name to be looked up.
std::string decoder_path();

}  // namespace endpin::app
