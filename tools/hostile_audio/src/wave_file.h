#pragma once

#include <cstdint>
#include <string>

namespace endpin::hostile {

/// The fields of a RIFF WAVE header, to be filled in rightly or wrongly.
struct WaveHeader {
  std::uint16_t format = 1;  ///< 1 integer, 3 float
  std::uint16_t channels = 1;
  std::uint32_t rate = 48000;
  std::uint16_t bits = 16;
  std::uint32_t data_bytes = 0;  ///< 0: what `data` has
};

std::string wave_file(WaveHeader header, const std::string& data);

}  // namespace endpin::hostile
