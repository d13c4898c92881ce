#include "endpin/app/files.h"

#include <cerrno>
#include <cstring>
#include <system_error>
#include <utility>

#include <fcntl.h>
#include <stdlib.h>  // mkdtemp
#include <sys/stat.h>
#include <unistd.h>

namespace endpin::app {
namespace {

namespace fs = std::filesystem;

// Closes on the way out, whichever way that is.
class Descriptor {
 public:
  explicit Descriptor(int fd) : fd_(fd) {}
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  ~Descriptor() {
    if (fd_ >= 0) ::close(fd_);
  }
  int operator*() const { return fd_; }

 private:
  int fd_;
};

bool write_all(int fd, std::string_view bytes) {
  while (!bytes.empty()) {
    const ssize_t written = ::write(fd, bytes.data(), bytes.size());
    if (written < 0 && errno == EINTR) continue;
    if (written < 0) return false;
    bytes.remove_prefix(static_cast<std::size_t>(written));
  }
  return true;
}

fs::path folder_of(const fs::path& path) {
  const fs::path folder = path.parent_path();
  return folder.empty() ? fs::path(".") : folder;
}

// A rename is on the disk only when its folder is.
void sync_folder(const fs::path& folder) {
  const Descriptor fd(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  if (*fd >= 0) ::fsync(*fd);
}

}  // namespace

Error file_error(const fs::path& path, int number) {
  const auto make = [&](ErrorKind kind, std::string what, std::string remedy) {
    return Error{kind, path.string(), "", std::move(what), std::move(remedy)};
  };
  switch (number) {
    case ENOENT:
    case ENOTDIR:
      return make(ErrorKind::input, "there is no such file or folder", "Check the path.");
    case EISDIR:
      return make(ErrorKind::input, "is a folder", "Give a file.");
    case EACCES:
    case EPERM:
      return make(ErrorKind::machine, "is not allowed",
                  "Change its permissions or choose another place.");
    case EROFS:
      return make(ErrorKind::machine, "lies on a disk that cannot be written",
                  "Choose another place.");
    case ENOSPC:
    case EDQUOT:
      return make(ErrorKind::machine, "the disk is full", "Free some space and try again.");
    default:
      return make(ErrorKind::machine, std::strerror(number), "Try again or choose another place.");
  }
}

Result<std::string> read_file(const fs::path& path, std::uintmax_t limit_bytes) {
  const Descriptor fd(::open(path.c_str(), O_RDONLY | O_CLOEXEC));
  if (*fd < 0) return Unexpected(file_error(path, errno));
  struct stat about {};
  if (::fstat(*fd, &about) != 0) return Unexpected(file_error(path, errno));
  if (S_ISDIR(about.st_mode)) return Unexpected(file_error(path, EISDIR));
  std::string bytes;
  char block[1 << 16];
  for (;;) {
    const ssize_t got = ::read(*fd, block, sizeof block);
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) return Unexpected(file_error(path, errno));
    if (got == 0) return bytes;
    bytes.append(block, static_cast<std::size_t>(got));
    if (bytes.size() > limit_bytes) {
      return Unexpected(Error{ErrorKind::input, path.string(), "",
                              "is larger than " + std::to_string(limit_bytes >> 20) + " MiB",
                              "Give a smaller file."});
    }
  }
}

Result<void> write_file_atomically(const fs::path& path, std::string_view bytes) {
  if (fs::is_directory(path)) return Unexpected(file_error(path, EISDIR));
  std::string temporary = path.string() + ".XXXXXX";
  const Descriptor fd(::mkostemp(temporary.data(), O_CLOEXEC));
  if (*fd < 0) return Unexpected(file_error(path, errno));
  const mode_t mask = ::umask(0);
  ::umask(mask);
  const bool written = write_all(*fd, bytes) && ::fchmod(*fd, 0666 & ~mask) == 0 &&
                       ::fsync(*fd) == 0 && ::rename(temporary.c_str(), path.c_str()) == 0;
  if (!written) {
    const int number = errno;
    ::unlink(temporary.c_str());
    return Unexpected(file_error(path, number));
  }
  sync_folder(folder_of(path));
  return {};
}

Result<StagedDirectory> StagedDirectory::create(const fs::path& target) {
  fs::path whole = target;
  if (!whole.has_filename()) whole = whole.parent_path();  // a trailing slash
  if (fs::exists(whole) && !fs::is_directory(whole)) {
    return Unexpected(Error{ErrorKind::input, whole.string(), "", "is a file, not a folder",
                            "Give the name of a folder."});
  }
  std::error_code failed;
  fs::create_directories(folder_of(whole), failed);
  if (failed) return Unexpected(file_error(folder_of(whole), failed.value()));
  std::string staging = (folder_of(whole) / ("." + whole.filename().string() + ".XXXXXX")).string();
  if (::mkdtemp(staging.data()) == nullptr) return Unexpected(file_error(whole, errno));
  ::chmod(staging.c_str(), 0755);
  return StagedDirectory(whole, staging);
}

StagedDirectory::StagedDirectory(StagedDirectory&& other) noexcept
    : target_(std::move(other.target_)), staging_(std::exchange(other.staging_, {})) {}

StagedDirectory::~StagedDirectory() {
  std::error_code ignored;
  if (!staging_.empty()) fs::remove_all(staging_, ignored);
}

Result<void> StagedDirectory::publish() {
  std::error_code failed;
  if (!fs::exists(target_)) {
    fs::rename(staging_, target_, failed);
    if (failed) return Unexpected(file_error(target_, failed.value()));
    staging_.clear();
  } else {
    for (const fs::directory_entry& entry : fs::directory_iterator(staging_)) {
      const fs::path place = target_ / entry.path().filename();
      if (fs::is_directory(place)) fs::remove_all(place, failed);
      fs::rename(entry.path(), place, failed);
      if (failed) return Unexpected(file_error(place, failed.value()));
    }
  }
  sync_folder(folder_of(target_));
  return {};
}

}  // namespace endpin::app
