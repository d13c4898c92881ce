#include "endpin/book/upload.h"

#include <cerrno>
#include <cstring>
#include <system_error>
#include <utility>

#include <fcntl.h>
#include <unistd.h>

namespace endpin::book {
namespace {

Error disk_error(const std::filesystem::path& file, int code) {
  if (code == ENOSPC || code == EDQUOT) {
    return {ErrorKind::machine, file.string(), "", "the disk is full",
            "Make room and try again; nothing was kept."};
  }
  return {ErrorKind::machine, file.string(), "",
          "cannot be written: " + std::generic_category().message(code),
          "Check that the book's folder is there, and that it may be written to."};
}

}  // namespace

Result<void> sync_folder(const std::filesystem::path& folder) {
  const int handle = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (handle < 0) return Unexpected(disk_error(folder, errno));
  const int failed = ::fsync(handle) != 0 ? errno : 0;
  ::close(handle);
  // Some network file systems have no such call for folders.
  if (failed != 0 && failed != EINVAL) return Unexpected(disk_error(folder, failed));
  return {};
}

Result<Upload> Upload::begin(const std::filesystem::path& incoming, std::int64_t limit) {
  Upload upload;
  upload.limit_ = limit;
  upload.path_ = incoming / (random_hex(16) + ".part");
  upload.file_ = ::open(upload.path_.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
  if (upload.file_ < 0) return Unexpected(disk_error(upload.path_, errno));
  return upload;
}

Upload::Upload(Upload&& other) noexcept { *this = std::move(other); }

Upload& Upload::operator=(Upload&& other) noexcept {
  if (this == &other) return *this;
  drop();
  path_ = std::exchange(other.path_, {});
  file_ = std::exchange(other.file_, -1);
  limit_ = other.limit_;
  bytes_ = other.bytes_;
  content_ = std::move(other.content_);
  hash_ = std::move(other.hash_);
  return *this;
}

Upload::~Upload() { drop(); }

void Upload::drop() {
  if (file_ >= 0) ::close(std::exchange(file_, -1));
  if (!path_.empty()) ::unlink(path_.c_str());
  path_.clear();
}

Result<void> Upload::write(std::string_view bytes) {
  bytes_ += static_cast<std::int64_t>(bytes.size());
  if (bytes_ > limit_) {
    return Unexpected(Error{ErrorKind::input, "", "",
                            "larger than the limit of " + std::to_string(limit_ >> 20) + " MiB",
                            "Send a shorter recording, or one with a smaller picture."});
  }
  content_.add(bytes);
  while (!bytes.empty()) {
    const ssize_t written = ::write(file_, bytes.data(), bytes.size());
    if (written < 0 && errno == EINTR) continue;
    if (written < 0) return Unexpected(disk_error(path_, errno));
    bytes.remove_prefix(static_cast<std::size_t>(written));
  }
  return {};
}

Result<void> Upload::finish() {
  hash_ = content_.hex();
  int failed = ::fsync(file_) != 0 ? errno : 0;
  if (::close(std::exchange(file_, -1)) != 0 && failed == 0) failed = errno;
  if (failed != 0) return Unexpected(disk_error(path_, failed));
  return {};
}

Result<void> Upload::move_to(const std::filesystem::path& place) {
  if (::rename(path_.c_str(), place.c_str()) != 0) return Unexpected(disk_error(place, errno));
  path_.clear();
  return sync_folder(place.parent_path());
}

}  // namespace endpin::book
