#include "shelf.h"

namespace endpin::book {

Result<void> Shelf::discard(const std::filesystem::path& where,
                            const std::vector<std::string>& folder_names) {
  std::error_code failed;
  for (const std::string& name : folder_names) {
    std::error_code code;
    std::filesystem::remove_all(where / name, code);
    if (code) failed = code;
  }
  if (auto forgotten = database->forget_deleted(); !forgotten) return forgotten;
  if (failed) {
    return Unexpected(Error{ErrorKind::machine, where.string(), "",
                            "a deleted file is still there: " + failed.message(),
                            "It is removed when the desk is started again."});
  }
  return sync_folder(where);
}

std::string containing(const std::string& text) {
  std::string pattern = "%";
  for (const char c : text) {
    if (c == '%' || c == '_' || c == '\\') pattern += '\\';
    pattern += c;
  }
  return pattern + "%";
}

}  // namespace endpin::book
