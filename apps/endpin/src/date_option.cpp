#include "date_option.h"

#include <cstdio>
#include <cstdlib>
#include <ctime>

#include <fmt/core.h>

namespace endpin::cli {

std::string today() {
  const char* epoch = std::getenv("SOURCE_DATE_EPOCH");
  const std::time_t now = epoch != nullptr ? std::strtoll(epoch, nullptr, 10) : std::time(nullptr);
  std::tm parts{};
  if (epoch != nullptr) {
    ::gmtime_r(&now, &parts);
  } else {
    ::localtime_r(&now, &parts);
  }
  return fmt::format("{:04}-{:02}-{:02}", parts.tm_year + 1900, parts.tm_mon + 1, parts.tm_mday);
}

std::string check_date(const std::string& text) {
  int year = 0, month = 0, day = 0;
  char end = 0;
  const bool numbers = text.size() == 10 &&
                       std::sscanf(text.c_str(), "%4d-%2d-%2d%c", &year, &month, &day, &end) == 3;
  std::tm parts{};
  parts.tm_year = year - 1900;
  parts.tm_mon = month - 1;
  parts.tm_mday = day;
  parts.tm_hour = 12;
  if (numbers && year >= 1 && ::timegm(&parts) != -1 && parts.tm_mday == day &&
      parts.tm_mon == month - 1) {
    return {};
  }
  return "\"" + text + "\" is not a date like 2026-03-01";
}

}  // namespace endpin::cli
