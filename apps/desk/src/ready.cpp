#include "ready.h"

#include <cstdlib>
#include <filesystem>
#include <sstream>

#include "endpin/app/decode_in_child.h"
#include "endpin/engraving/engraving.h"
#include "endpin/perform/fluid_sounds.h"

namespace endpin::desk {
namespace {

namespace fs = std::filesystem;

bool is_there(const fs::path& file) {
  std::error_code failed;
  return fs::exists(file, failed);
}

bool on_path(const std::string& program) {
  if (program.find('/') != std::string::npos) return is_there(program);
  const char* path = std::getenv("PATH");
  std::istringstream folders(path != nullptr ? path : "/usr/bin:/bin");
  for (std::string folder; std::getline(folders, folder, ':');) {
    if (is_there(fs::path(folder) / program)) return true;
  }
  return false;
}

}  // namespace

Json ready_parts() {
  const bool engraving = on_path("node") && app::engraver_is_built();
  const bool sound = is_there(default_sound_font);
  return {{"hearing", on_path(app::decoder_path())},
          {"engraving", engraving},
          {"sound", sound},
          {"lesson", engraving && sound && on_path("chromium")}};
}

}  // namespace endpin::desk
