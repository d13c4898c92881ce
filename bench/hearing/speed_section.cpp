#include <algorithm>
#include <fstream>
#include <string>

#include <fmt/format.h>

#include "evaluation.h"

namespace endpin::evaluation {
namespace {

/// What the hearing of one long take cost.
struct Length {
  double sound_s = 0;
  double cpu_s = 0;
};

Length length_of(const Studio& studio, int bars, std::uint64_t seed) {
  TakeOptions options;
  options.player = simulator::good_student();
  options.bars = bars;
  const auto take = studio.take(options, seed);
  return {take.audio.duration().value(), hear_take(take.timeline, take.audio).cpu_s};
}

/// A line of /proc/self/status in MiB (proc(5)); VmHWM is the most held since it was last set back.
double memory_line(const std::string& label) {
  std::ifstream status("/proc/self/status");
  std::string word;
  while (status >> word) {
    if (word != label) continue;
    double kib = 0;
    status >> kib;
    return kib / 1024;
  }
  return 0;
}

/// Sets VmHWM back to what is held now (proc(5), clear_refs).
void forget_most_memory() { std::ofstream("/proc/self/clear_refs") << 5; }

}  // namespace

/// One core, decoding apart: × real time, and what four times the length costs.
Report speed_section(const Settings& settings, const Studio& studio) {
  Report report;
  Length shorter;
  for (const int bars : {16, 64, 256}) {
    const auto length = length_of(studio, bars, settings.seed);
    const double factor = length.sound_s / length.cpu_s;
    report.add({"speed",
                fmt::format("one take of {:.0f} s", length.sound_s),
                factor,
                "× real",
                {},
                1,
                "take",
                150});
    if (shorter.sound_s > 0) {
      const double times = (length.cpu_s / shorter.cpu_s) / (length.sound_s / shorter.sound_s);
      const auto what = fmt::format("four times as long costs (scaled to 4; {:.0f} to {:.0f} s)",
                                    shorter.sound_s, length.sound_s);
      report.add({"speed", what, 4 * times, "×", {}, 1, "pair", {}, 4.4});
    }
    shorter = length;
  }
  const auto cost = cost_so_far();
  report.add({"speed",
              "all takes of this run",
              cost.sound_s / cost.cpu_s,
              "× real",
              {},
              cost.takes,
              "takes"});
  report.add({"speed",
              "most memory of this run (sounds included)",
              memory_line("VmHWM:"),
              "MiB",
              {},
              1,
              "run"});
  return report;
}

/// An hour in one take: time and memory, with and without the sound itself.
Report hour_section(const Settings& settings, const Studio& studio) {
  constexpr int bars = 1530;  // an hour at the tempi of the tunes of chance, give or take a tenth
  TakeOptions options;
  options.player = simulator::good_student();
  options.bars = bars;
  Report report;
  const auto take = studio.take(options, settings.seed);
  const double sound_s = take.audio.duration().value();
  const double sound_mib = static_cast<double>(take.audio.samples.size()) * sizeof(float) / 1048576;
  forget_most_memory();
  const double before = memory_line("VmRSS:");
  const auto heard = hear_take(take.timeline, take.audio);
  const double added = memory_line("VmHWM:") - before;
  const auto right = static_cast<double>(
      std::count_if(heard.hearing.notes.begin(), heard.hearing.notes.end(),
                    [](const auto& note) { return note.state == NoteState::heard; }));
  const auto notes = take.timeline.notes.size();
  report.add({"hour", "length of the take", sound_s, "s", {}, 1, "take"});
  report.add({"hour", "heard in", sound_s / heard.cpu_s, "× real", {}, 1, "take", 150});
  report.add({"hour",
              "notes heard",
              right / static_cast<double>(notes),
              "%",
              {},
              static_cast<int>(notes),
              "notes"});
  report.add(
      {"hour", "most memory of the hearing, the sound not counted", added, "MiB", {}, 1, "take"});
  report.add(
      {"hour", "the same with the sound", added + sound_mib, "MiB", {}, 1, "take", {}, 1024});
  return report;
}

}  // namespace endpin::evaluation
