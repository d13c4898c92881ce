#include "heartbeat.h"

#include <chrono>
#include <cstdio>

#include <fmt/format.h>

#include "section_times.h"

namespace endpin::evaluation {
namespace {

using Clock = std::chrono::steady_clock;
constexpr std::chrono::minutes between{1};

struct Heart {
  std::string section;
  std::optional<double> usually_s;
  Clock::time_point begin, said;
  int takes = 0;
};
Heart heart;

}  // namespace

void begin_heartbeat(const std::string& section, std::optional<double> usually_s) {
  heart = {section, usually_s, Clock::now(), Clock::now(), 0};
}

void beat() {
  ++heart.takes;
  const auto now = Clock::now();
  if (now - heart.said < between) return;
  heart.said = now;
  const double spent = std::chrono::duration<double>(now - heart.begin).count();
  const auto of = heart.usually_s
                      ? fmt::format(" of about {}", measures::in_hours(*heart.usually_s))
                      : std::string();
  fmt::print(stderr, "{}: {} takes heard, {}{}\n", heart.section, heart.takes,
             measures::in_hours(spent), of);
}

}  // namespace endpin::evaluation
