#include "progress_line.h"

#include <string_view>

#include <fmt/core.h>
#include <unistd.h>

namespace endpin::cli {

Result<void> with_progress(const std::function<Result<void>(const app::Progress&)>& work) {
  const bool watched = ::isatty(STDERR_FILENO) == 1;
  auto done = work([watched](std::string_view what) {
    if (watched) fmt::print(stderr, "\r\033[K{} …", what);
  });
  if (watched) fmt::print(stderr, "\r\033[K");
  return done;
}

}  // namespace endpin::cli
