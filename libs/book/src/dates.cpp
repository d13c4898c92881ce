#include <cstdio>

#include "endpin/book/book.h"

namespace endpin::book {

using std::chrono::sys_days;
using std::chrono::sys_seconds;

Clock system_clock() {
  return [] {
    return std::chrono::time_point_cast<std::chrono::seconds>(std::chrono::system_clock::now());
  };
}

std::string date(sys_days day) {
  const std::chrono::year_month_day ymd(day);
  char text[40];
  std::snprintf(text, sizeof text, "%04d-%02u-%02u", static_cast<int>(ymd.year()),
                static_cast<unsigned>(ymd.month()), static_cast<unsigned>(ymd.day()));
  return text;
}

std::string utc(sys_seconds time) {
  const auto day = std::chrono::floor<std::chrono::days>(time);
  const std::chrono::hh_mm_ss clock(time - day);
  char text[40];
  std::snprintf(text, sizeof text, "T%02d:%02d:%02dZ", static_cast<int>(clock.hours().count()),
                static_cast<int>(clock.minutes().count()),
                static_cast<int>(clock.seconds().count()));
  return date(day) + text;
}

std::optional<sys_days> parse_date(const std::string& text) {
  int year = 0;
  unsigned month = 0;
  unsigned day = 0;
  char rest = 0;
  if (text.size() != 10 ||
      std::sscanf(text.c_str(), "%4d-%2u-%2u%c", &year, &month, &day, &rest) != 3) {
    return std::nullopt;
  }
  const std::chrono::year_month_day ymd{std::chrono::year{year}, std::chrono::month{month},
                                        std::chrono::day{day}};
  if (!ymd.ok()) return std::nullopt;
  const sys_days found(ymd);
  return date(found) == text ? std::optional(found) : std::nullopt;
}

}  // namespace endpin::book
