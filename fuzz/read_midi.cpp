#include <cstddef>
#include <cstdint>
#include <string>

#include "check_score.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  endpin::fuzz::check_score({reinterpret_cast<const char*>(data), size});
  return 0;
}
