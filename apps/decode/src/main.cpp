// endpin-decode PATH RATE HIGHEST_RATE SECONDS FILE_BYTES
//
// Decodes one file of a stranger with no more rights than that takes, and writes to standard output
// "endpinA1", the rate and the expected count of samples (32-bit each, this machine's byte order),
// then the samples as 32-bit floats. Exit 0 done, 1 the file is at fault: then standard error holds
// one line, what is wrong and what to do with a tab between them.
#include <algorithm>
#include <cerrno>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <span>
#include <string>

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include "endpin/media/decode.h"

#include "confine.h"

namespace endpin {
namespace {

void write_all(const void* data, std::size_t size) {
  const char* from = static_cast<const char*>(data);
  while (size > 0) {
    const ssize_t written = ::write(STDOUT_FILENO, from, size);
    if (written < 0 && errno == EINTR) continue;
    if (written <= 0) std::_Exit(3);  // nobody listens any more
    from += written;
    size -= static_cast<std::size_t>(written);
  }
}

int refuse(const std::string& what, const std::string& remedy) {
  std::fprintf(stderr, "%s\t%s\n", what.c_str(), remedy.c_str());
  return 1;
}

void write_header(const SoundInfo& info) {
  const std::uint32_t numbers[] = {
      static_cast<std::uint32_t>(info.rate),
      static_cast<std::uint32_t>(std::min<std::int64_t>(info.expected_samples, UINT32_MAX))};
  write_all("endpinA1", 8);
  write_all(numbers, sizeof numbers);
}

int run(const char* path, const DecodeLimits& limits) {
  const int descriptor = ::open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
  if (descriptor < 0) return refuse(std::strerror(errno), "Check the path.");
  struct stat status {};
  if (::fstat(descriptor, &status) != 0 || !S_ISREG(status.st_mode)) {
    return refuse("this is not a file", "Give a sound or video file.");
  }
  if (status.st_size > limits.file_bytes) {
    return refuse("the file is too large", "Cut out the part with the piece.");
  }
  if (!confine()) std::fputs("note: system calls cannot be filtered here\n", stderr);
  const auto decoded = decode(
      descriptor, path, limits, write_header,
      [](std::span<const float> samples) { write_all(samples.data(), samples.size_bytes()); });
  return decoded ? 0 : refuse(decoded.error().what, decoded.error().remedy);
}

}  // namespace
}  // namespace endpin

int main(int argc, char** argv) {
  if (argc != 6) {
    std::fputs("usage: endpin-decode PATH RATE HIGHEST_RATE SECONDS FILE_BYTES\n", stderr);
    return 2;
  }
  endpin::DecodeLimits limits;
  limits.rate = std::atoi(argv[2]);
  limits.highest_rate = std::atoi(argv[3]);
  limits.duration = endpin::Seconds(std::atof(argv[4]));
  limits.file_bytes = std::atoll(argv[5]);
  return endpin::run(argv[1], limits);
}
