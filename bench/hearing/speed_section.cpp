#include <sys/resource.h>

#include "evaluation.h"

namespace endpin::evaluation {

/// One core, decoding apart: × real time, and what four times the length costs.
Report speed_section(const Settings& settings, const Studio& studio) {
  Report report;
  TakeOptions options;
  options.player = simulator::good_student();
  options.bars = 16;
  const auto brief = studio.take(options, settings.seed);
  options.bars = 64;
  const auto long_one = studio.take(options, settings.seed);
  const auto first = hear_take(brief.timeline, brief.audio);
  const auto second = hear_take(long_one.timeline, long_one.audio);
  const double brief_s = brief.audio.duration().value();
  const double long_s = long_one.audio.duration().value();
  report.add(
      {"speed", "one take of a minute", brief_s / first.cpu_s, "× real", {}, 1, "take", 150});
  report.add(
      {"speed", "one take of four minutes", long_s / second.cpu_s, "× real", {}, 1, "take", 150});
  report.add({"speed",
              "four times as long costs (scaled to 4)",
              4 * (second.cpu_s / first.cpu_s) / (long_s / brief_s),
              "×",
              {},
              1,
              "pair",
              {},
              4.4});
  const auto cost = cost_so_far();
  report.add({"speed",
              "all takes of this run",
              cost.sound_s / cost.cpu_s,
              "× real",
              {},
              cost.takes,
              "takes"});
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  report.add({"speed",
              "most memory of this run (sounds included)",
              static_cast<double>(usage.ru_maxrss) / 1024,
              "MiB",
              {},
              1,
              "run"});
  return report;
}

}  // namespace endpin::evaluation
