#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <span>

#include <sys/mman.h>
#include <unistd.h>

#include "endpin/media/decode.h"

// Our half of decoding: whatever the demuxers and decoders make of a file, what comes out are
// numbers within bounds, no more of them than the limit allows, or one line. (The libraries' own
// faults are confined: in use this runs in a child process without network or files.)
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const int file = ::memfd_create("sound", MFD_CLOEXEC);
  if (file < 0) return 0;
  if (::write(file, data, size) != static_cast<ssize_t>(size)) std::abort();
  endpin::DecodeLimits limits;
  limits.duration = endpin::Seconds(20);
  int rate = 48000;
  std::int64_t samples = 0;
  const auto decoded = endpin::decode(
      file, "sound", limits, [&](const endpin::SoundInfo& info) { rate = info.rate; },
      [&](std::span<const float> piece) {
        samples += static_cast<std::int64_t>(piece.size());
        for (const float sample : piece) {
          if (!std::isfinite(sample) || std::abs(sample) > 4.0F) std::abort();
        }
      });
  ::close(file);
  if (rate < 1 || samples > std::int64_t{21} * rate) std::abort();
  if (!decoded && decoded.error().line().find('\n') != std::string::npos) std::abort();
  return 0;
}
