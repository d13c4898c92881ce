#include "broken.h"

namespace endpin::hostile {

std::uint64_t Chance::next() {
  state_ += 0x9E3779B97F4A7C15ULL;
  std::uint64_t z = state_;
  z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
  z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
  return z ^ (z >> 31);
}

std::string truncated(std::string bytes, Chance& chance) {
  bytes.resize(bytes.size() / 4 + chance.below(bytes.size() / 2));
  return bytes;
}

std::string flipped(std::string bytes, std::uint64_t every, Chance& chance) {
  for (std::size_t at = 16 + chance.below(every); at < bytes.size();
       at += 1 + chance.below(2 * every)) {
    bytes[at] = static_cast<char>(bytes[at] ^ (1 << chance.below(8)));
  }
  return bytes;
}

std::string noise_bytes(std::size_t count, Chance& chance) {
  std::string bytes(count, '\0');
  for (char& byte : bytes) byte = static_cast<char>(chance.next());
  return bytes;
}

}  // namespace endpin::hostile
