#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "endpin/base/result.h"
#include "endpin/base/units.h"

namespace endpin::app {

/// Bounds on a child process. Past one of them it is killed with all that it started.
struct ProcessLimits {
  Seconds wall_time{60};
  std::optional<std::uint64_t>
      address_space_bytes;  ///< RLIMIT_AS; unset: unbounded (node needs it)
  std::uint64_t output_bytes = std::uint64_t{512} << 20;  ///< of standard output
};

struct ProcessResult {
  int exit_status = 0;  ///< 128 + n when signal n ended it
  bool timed_out = false;
  bool output_too_long = false;
  std::string output;  ///< standard output
  std::string errors;  ///< standard error, its last 64 KiB
};

/// Takes what a child prints, piece by piece.
using OutputSink = std::function<void(std::string_view)>;

/// Runs `command` (found on PATH, no shell), feeds it `input`, collects what it prints. The child
/// has its own process group and inherits no descriptor but the three. Errors (machine): the
/// program is not there or cannot be started. Thread-safe.
Result<ProcessResult> run_process(const std::vector<std::string>& command, std::string_view input,
                                  const ProcessLimits& limits = {});

/// The same, with standard output given to `sink` as it comes, and not kept.
Result<ProcessResult> run_process(const std::vector<std::string>& command, std::string_view input,
                                  const ProcessLimits& limits, const OutputSink& sink);

}  // namespace endpin::app
