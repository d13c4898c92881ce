#include "folder_files.h"

#include <algorithm>

#include "static_files.h"

namespace endpin::desk {

std::vector<std::string> file_names(const std::filesystem::path& folder) {
  std::vector<std::string> names;
  std::error_code failed;
  for (const auto& entry : std::filesystem::directory_iterator(folder, failed)) {
    if (entry.is_regular_file(failed)) names.push_back(entry.path().filename().string());
  }
  std::sort(names.begin(), names.end());
  return names;
}

Answer file_in(const std::filesystem::path& folder, const std::string& name) {
  const auto names = file_names(folder);
  if (std::find(names.begin(), names.end(), name) == names.end()) return no_such("file");
  Answer answer;
  answer.file = FileBody{folder / name};
  answer.type = page_type(answer.file->path.extension().string());
  return answer;
}

}  // namespace endpin::desk
