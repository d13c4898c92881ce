#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <string>
#include <string_view>

#include "endpin/base/result.h"

namespace endpin::book {

/// SHA-256 (FIPS 180-4) of what was added so far, in hexadecimal.
class ContentHash {
 public:
  ContentHash();
  ~ContentHash();
  ContentHash(ContentHash&&) noexcept;
  ContentHash& operator=(ContentHash&&) noexcept;
  void add(std::string_view bytes);
  /// Ends it: nothing may be added afterwards.
  std::string hex();

 private:
  struct State;
  std::unique_ptr<State> state_;
};

std::string sha256(std::string_view bytes);

/// A file on its way into the book: written to `incoming`, hashed as it is written, and removed
/// again unless the book takes it. Not for several threads at once.
class Upload {
 public:
  /// `limit` in bytes.
  static Result<Upload> begin(const std::filesystem::path& incoming, std::int64_t limit);
  ~Upload();
  Upload(Upload&&) noexcept;
  Upload& operator=(Upload&&) noexcept;

  Result<void> write(std::string_view bytes);
  /// On the disk when it returns. Nothing may be written afterwards.
  Result<void> finish();

  std::int64_t bytes() const { return bytes_; }
  /// REQUIRES: finished.
  const std::string& hash() const { return hash_; }
  const std::filesystem::path& path() const { return path_; }
  /// Moves the finished file; its folder is on the disk when it returns.
  Result<void> move_to(const std::filesystem::path& place);

 private:
  Upload() = default;
  void drop();
  std::filesystem::path path_;
  int file_ = -1;
  std::int64_t limit_ = 0;
  std::int64_t bytes_ = 0;
  ContentHash content_;
  std::string hash_;
};

/// Flushes a folder's own entries to the disk.
Result<void> sync_folder(const std::filesystem::path& folder);
/// Bytes for a name or a secret, from the system's generator, in hexadecimal.
std::string random_hex(int bytes);
/// The last words of a path of any system without control characters; at most 200 bytes, never
/// empty.
std::string plain_file_name(std::string_view name);
/// ".mp4": lower case letters and digits, at most 12; or empty.
std::string plain_extension(std::string_view name);

}  // namespace endpin::book
