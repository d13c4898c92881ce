#include "bars_option.h"

namespace endpin::cli {

Result<BarsOption> parse_bars(const std::string& text) {
  if (text.empty()) return BarsOption{};
  const std::size_t dash = text.find('-');
  if (dash == std::string::npos) return BarsOption{text, text};
  BarsOption bars{text.substr(0, dash), text.substr(dash + 1)};
  if (bars.first.empty() || bars.last.empty() || bars.last.find('-') != std::string::npos) {
    return Unexpected({ErrorKind::usage,
                       "--bars " + text,
                       {},
                       "not a range of bars",
                       "Give two printed numbers, as in --bars 5-8, or one."});
  }
  return bars;
}

}  // namespace endpin::cli
