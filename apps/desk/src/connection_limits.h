#pragma once

#include <chrono>
#include <cstddef>

namespace endpin::desk {

/// Bounds on what one client may cost. Chosen by us: generous for a phone on a slow network.
struct ConnectionLimits {
  std::chrono::milliseconds header_time{10'000};  ///< for a whole request header
  std::chrono::milliseconds silence{15'000};      ///< between two pieces of a body, or of an answer
  std::chrono::milliseconds idle{5'000};          ///< between two requests
  std::chrono::milliseconds farewell{2'000};      ///< for what is under way when the desk stops
  std::size_t header_bytes = 32 << 10;
  double least_bytes_per_second = 2'000;  ///< of a body, on the average after its first 30 s
};

}  // namespace endpin::desk
