#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "endpin/base/audio.h"
#include "endpin/base/result.h"

namespace endpin {

enum class AudioFormat {
  wav,   ///< 16-bit linear PCM
  flac,  ///< 16 bits a sample, lossless
  opus,  ///< Opus in Ogg (RFC 7845), 96 kbit/s
};

/// By the ending of `path`, in any case: .wav, .flac, .opus.
std::optional<AudioFormat> format_for(std::string_view path);

/// The bytes of a whole file. The same audio gives the same bytes on the same machine: stream
/// numbers are fixed and nothing is dated. Samples beyond ±1 are clipped. Opus is 48 kHz within;
/// other rates are resampled. `title` goes into the file's tags unless it is empty.
Result<std::string> encode(const Audio& audio, AudioFormat format, const std::string& title = {});

}  // namespace endpin
