#include <cstddef>
#include <cstdint>
#include <string>

#include "check_score.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  // With a header that makes it a tune, so that the music is reached.
  const std::string text = "X:1\nK:C\n" + std::string(reinterpret_cast<const char*>(data), size);
  endpin::fuzz::check_score({reinterpret_cast<const char*>(data), size});
  endpin::fuzz::check_score(text);
  return 0;
}
