// Loaded before a program's own libraries (LD_PRELOAD), makes its disk fail while it runs, as the
// first byte of the file named by ENDPIN_DISK says: 'f' the disk is full, 'r' it may only be read.
// Only the program "endpin" and regular files are touched.

#include <cerrno>
#include <cstdarg>
#include <cstdlib>
#include <cstring>

#include <dlfcn.h>
#include <fcntl.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <sys/types.h>
#include <unistd.h>

namespace {

const volatile char* mode = nullptr;

template <typename Function>
Function next(const char* name) {
  void* found = ::dlsym(RTLD_NEXT, name);
  Function function;
  std::memcpy(&function, &found, sizeof function);
  return function;
}

__attribute__((constructor)) void begin() {
  const char* path = std::getenv("ENDPIN_DISK");
  if (path == nullptr || std::strcmp(program_invocation_short_name, "endpin") != 0) return;
  const int file = ::open(path, O_RDONLY | O_CLOEXEC);
  if (file < 0) return;
  void* byte = ::mmap(nullptr, 1, PROT_READ, MAP_SHARED, file, 0);
  if (byte != MAP_FAILED) mode = static_cast<const volatile char*>(byte);
}

bool fails(char how) { return mode != nullptr && *mode == how; }

bool full(int file) {
  struct stat facts {};
  if (!fails('f') || ::fstat(file, &facts) != 0 || !S_ISREG(facts.st_mode)) return false;
  errno = ENOSPC;
  return true;
}

bool read_only(int flags) {
  const bool changes = (flags & (O_WRONLY | O_RDWR | O_CREAT | O_TRUNC)) != 0;
  if (!fails('r') || !changes) return false;
  errno = EROFS;
  return true;
}

mode_t rights_of(int flags, std::va_list words) {
  return (flags & (O_CREAT | O_TMPFILE)) != 0 ? static_cast<mode_t>(va_arg(words, int)) : 0;
}

}  // namespace

extern "C" {

ssize_t write(int file, const void* data, size_t size) {
  static const auto real = next<ssize_t (*)(int, const void*, size_t)>("write");
  return full(file) ? -1 : real(file, data, size);
}

ssize_t pwrite(int file, const void* data, size_t size, off_t at) {
  static const auto real = next<ssize_t (*)(int, const void*, size_t, off_t)>("pwrite");
  return full(file) ? -1 : real(file, data, size, at);
}

ssize_t pwrite64(int file, const void* data, size_t size, off64_t at) {
  static const auto real = next<ssize_t (*)(int, const void*, size_t, off64_t)>("pwrite64");
  return full(file) ? -1 : real(file, data, size, at);
}

int open(const char* path, int flags, ...) {
  static const auto real = next<int (*)(const char*, int, ...)>("open");
  std::va_list words;
  va_start(words, flags);
  const mode_t rights = rights_of(flags, words);
  va_end(words);
  return read_only(flags) ? -1 : real(path, flags, rights);
}

int open64(const char* path, int flags, ...) {
  static const auto real = next<int (*)(const char*, int, ...)>("open64");
  std::va_list words;
  va_start(words, flags);
  const mode_t rights = rights_of(flags, words);
  va_end(words);
  return read_only(flags) ? -1 : real(path, flags, rights);
}

}  // extern "C"
