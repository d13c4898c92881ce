#pragma once

#include <string>

namespace endpin::cli {

/// "2026-03-01": that of SOURCE_DATE_EPOCH where it is set (reproducible-builds.org), else today.
std::string today();

/// Empty if `text` is a day of the calendar, as the option parser wants it; else what is wrong.
std::string check_date(const std::string& text);

}  // namespace endpin::cli
