#include "wave_file.h"

namespace endpin::hostile {
namespace {

void put(std::string& out, std::uint32_t value, int bytes) {
  for (int i = 0; i < bytes; ++i) out.push_back(static_cast<char>(value >> (8 * i) & 0xFF));
}

}  // namespace

std::string wave_file(WaveHeader header, const std::string& data) {
  const auto size = static_cast<std::uint32_t>(data.size());
  const std::uint32_t claimed = header.data_bytes != 0 ? header.data_bytes : size;
  const std::uint32_t frame = header.channels * (header.bits / 8U);
  std::string out = "RIFF";
  put(out, claimed + 36, 4);
  out += "WAVEfmt ";
  put(out, 16, 4);
  put(out, header.format, 2);
  put(out, header.channels, 2);
  put(out, header.rate, 4);
  put(out, header.rate * frame, 4);
  put(out, frame & 0xFFFF, 2);
  put(out, header.bits, 2);
  out += "data";
  put(out, claimed, 4);
  return out + data;
}

}  // namespace endpin::hostile
