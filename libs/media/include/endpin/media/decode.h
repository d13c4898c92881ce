#pragma once

#include <cstdint>
#include <functional>
#include <span>
#include <string>

#include "endpin/base/audio.h"
#include "endpin/base/result.h"

namespace endpin {

/// What decoding may cost, and the rate that is wanted.
struct DecodeLimits {
  Seconds duration{30 * 60};            ///< longer recordings are refused
  std::int64_t file_bytes = 4LL << 30;  ///< larger files are refused
  int rate = 0;                         ///< samples a second; 0: the file's own
  int highest_rate = 48000;             ///< with `rate` 0, files above it come down to it
};

/// Takes the next samples of the recording. May be called with few or many.
using SampleSink = std::function<void(std::span<const float>)>;

/// What is known before the first sample.
struct SoundInfo {
  int rate = 48000;
  std::int64_t expected_samples = 0;  ///< by the file's header, which may be wrong; 0: unknown
};
using InfoSink = std::function<void(const SoundInfo&)>;

/// The sound of any file that libavformat reads, videos too, mixed to one channel: its main audio
/// stream, from the moment at which the file begins to play. The codec's own delay is taken out
/// (encoder priming of AAC and MP3 as far as the file tells it, Opus' pre-skip, edit lists); holes
/// of more than 50 ms in the time stamps become silence. Samples that are no number become 0, and
/// those beyond ±4 are clipped there.
///
/// `descriptor` is open for reading and can seek; nothing else is opened, so a playlist that names
/// other files yields nothing. `name` stands in errors. Holds a few packets in memory at a time.
/// Errors: empty, not a recording, no sound in it, nothing decodable, over a limit.
Result<void> decode(int descriptor, const std::string& name, const DecodeLimits& limits,
                    const InfoSink& begin, const SampleSink& sink);

/// The same into memory: 4 bytes a sample.
Result<Audio> decode(const std::string& path, const DecodeLimits& limits = {});

}  // namespace endpin
