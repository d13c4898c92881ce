#pragma once

#include <cstdlib>
#include <filesystem>

namespace endpin::app {

/// Where web/ lies: the folder of the sources, unless ENDPIN_ROOT says otherwise.
inline std::filesystem::path web_folder() {
  const char* root = std::getenv("ENDPIN_ROOT");
  return std::filesystem::path(root != nullptr ? root : ENDPIN_SOURCE_DIR) / "web";
}

}  // namespace endpin::app
