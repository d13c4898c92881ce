#pragma once

#include <string>

#include "endpin/base/audio.h"
#include "endpin/base/result.h"

#include "libav.h"

namespace endpin {

/// A container and a codec of libav*, by their names there.
struct Encoding {
  const char* muxer = "wav";
  const char* codec = "pcm_s16le";
  std::int64_t bit_rate = 0;  ///< bits a second; 0 where the codec has none
  int rate = 0;               ///< samples a second; 0: that of the audio
  int effort = -1;            ///< the codec's own scale of speed against size; -1: its default
};

/// Any container and codec that this libav* can write; `encode` offers the three of ours, tests
/// the rest.
Result<std::string> encode_as(const Audio& audio, const Encoding& encoding,
                              const std::string& title);

}  // namespace endpin
