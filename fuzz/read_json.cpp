#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string>
#include <string_view>

#include "endpin/hearing/hearing.h"
#include "endpin/timeline/timeline.h"

namespace {

void must(bool holds) {
  if (!holds) std::abort();
}

}  // namespace

// JSON of our own contracts, which strangers may write: it is read or refused in one line, and what
// was read comes back the same from what is written of it.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const auto timeline = endpin::timeline_from_json(text);
  if (timeline) {
    const std::string written = endpin::to_json(*timeline);
    const auto again = endpin::timeline_from_json(written);
    must(again && endpin::to_json(*again) == written);
  } else {
    must(timeline.error().line().find('\n') == std::string::npos);
  }
  const auto hearing = endpin::hearing_from_json(text);
  if (hearing) {
    const std::string written = endpin::to_json(*hearing);
    const auto again = endpin::hearing_from_json(written);
    must(again && endpin::to_json(*again) == written);
  } else {
    must(hearing.error().line().find('\n') == std::string::npos);
  }
  return 0;
}
