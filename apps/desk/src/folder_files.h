#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "call.h"

namespace endpin::desk {

/// The files that stand in a folder that the desk made, by name.
std::vector<std::string> file_names(const std::filesystem::path& folder);
/// One of them; 404 for a name that the folder does not hold, whatever path it may spell.
Answer file_in(const std::filesystem::path& folder, const std::string& name);

}  // namespace endpin::desk
