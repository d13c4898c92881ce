#pragma once

#include <filesystem>
#include <string_view>

#include "call.h"

namespace endpin::desk {

/// Answers with a file of the built page below `root`; a path without a file and without an
/// extension is a place within the page and gets the page itself.
Answer static_file(const std::filesystem::path& root, const Call& call);

/// "audio/wav" of ".wav"; "application/octet-stream" of anything that is not in the list, so that
/// nothing a stranger sent is ever taken for a page or a script.
/// The same of what the desk itself writes.
std::string page_type(std::string_view extension);
std::string media_type(std::string_view extension);

}  // namespace endpin::desk
