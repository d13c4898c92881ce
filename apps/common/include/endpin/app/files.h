#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <string_view>

#include "endpin/base/result.h"

namespace endpin::app {

/// The whole file. Errors name the path and what to do; a folder, a missing file and one over
/// `limit_bytes` are errors of input.
Result<std::string> read_file(const std::filesystem::path& path,
                              std::uintmax_t limit_bytes = std::uintmax_t{256} << 20);

/// Writes beside `path` first, syncs, then renames: the file appears whole or not at all.
Result<void> write_file_atomically(const std::filesystem::path& path, std::string_view bytes);

/// An error of the machine from errno, for a path: "disk full", "not writable", …
Error file_error(const std::filesystem::path& path, int error_number);

/// A folder that is filled out of sight and appears under its name only when it is whole.
/// A folder that is there already has its files replaced one by one; others in it stay.
class StagedDirectory {
 public:
  /// Makes the hidden folder beside `target`.
  static Result<StagedDirectory> create(const std::filesystem::path& target);
  StagedDirectory(StagedDirectory&& other) noexcept;
  StagedDirectory& operator=(StagedDirectory&&) = delete;
  /// Removes what was not published.
  ~StagedDirectory();

  /// Where to write.
  const std::filesystem::path& path() const { return staging_; }
  /// Moves everything to its place.
  Result<void> publish();

 private:
  StagedDirectory(std::filesystem::path target, std::filesystem::path staging)
      : target_(std::move(target)), staging_(std::move(staging)) {}

  std::filesystem::path target_;
  std::filesystem::path staging_;  // empty once published or moved from
};

}  // namespace endpin::app
