#include <map>

#include <fmt/format.h>

#include "error_owners.h"
#include "oracle.h"
#include "stage_tally.h"

namespace endpin::evaluation {
namespace {

using namespace measures;

// How each told stage did on one group of takes.
using ToldTallies = std::map<Told, StageTally>;

void add_group(const std::string& group, const ToldTallies& told, const Settings& settings,
               Report& report) {
  for (const auto& [stage, tally] : told) {
    add_stage_figures(fmt::format("budget, {}: {}", group, name(stage)), tally, settings, report);
  }
}

// What each stage's errors cost: told the truth instead of what it finds, all after it as shipped.
void add_owned(const std::string& group, const ToldTallies& told, const Settings& settings,
               Report& report) {
  for (const auto& by : compared) {
    const StageTally* before = nullptr;
    for (const auto& [stage, tally] : told) {
      if (before && !(tally.*by.part).empty()) {
        auto figure = difference_figure(fmt::format("budget, {}: gained by each truth", group), by,
                                        *before, tally, settings.seed);
        figure.what = fmt::format("{} {}", name(stage), by.what);
        if (figure.n > 0) report.add(figure);
      }
      before = &tally;
    }
  }
}

void count_recordings(const Settings& settings, Report& report) {
  const std::pair<const char*, Seconds> recordings[] = {{"violin-partita", Seconds(0.05)},
                                                        {"violin-double-b-minor", Seconds(0.1)}};
  for (const auto& [folder, tolerance] : recordings) {
    if (settings.recordings.empty() || settings.fitting) continue;
    const auto recording = read_recording(settings.recordings / folder);
    if (!recording) continue;
    const auto playing = playing_of(recording->truth, recording->timeline.notes.size());
    ToldTallies told;
    for (const Told stage : all_told) {
      Oracle oracle(playing, stage);
      const auto hearing =
          hear_staged_take(recording->timeline, recording->audio, oracle.options());
      count_stage(*recording, tolerance, hearing, told[stage]);
    }
    for (const auto& [stage, tally] : told) {
      const auto on = fmt::format("budget, {}: {}", folder, name(stage));
      report.add(share_figure(on, fmt::format("onset within {:.0f} ms", 1000 * tolerance.value()),
                              tally.onsets, "notes", settings.seed));
      report.add(share_figure(on, "ends that hold", tally.ends, "notes", settings.seed));
      report.add(share_figure(on, "notes accused", tally.accused, "notes", settings.seed));
      report.add(
          share_figure(on, "takes with a false finding", tally.falsely, "takes", settings.seed));
    }
  }
}

}  // namespace

/// Each stage of hearing after an oracle of those before it: which errors are whose.
Report budget_section(const Settings& settings, const Studio& studio) {
  Report report;
  count_recordings(settings, report);
  std::vector<std::string> groups;
  std::map<std::string, ToldTallies> tallies;
  std::map<std::string, ErrorOwners> owners;
  each_stage_take(settings, studio, settings.takes.value_or(settings.count(4, 30)),
                  [&](const std::string& group, const Take& take) {
                    if (!tallies.contains(group)) groups.push_back(group);
                    const auto playing = playing_of(take.performance);
                    std::map<Told, Hearing> told;
                    for (const Told stage : all_told) {
                      Oracle oracle(playing, stage);
                      told[stage] = hear_staged_take(take.timeline, take.audio, oracle.options());
                      count_stage(take, told[stage], tallies[group][stage]);
                    }
                    owners[group].add(take, told, report);
                  });
  for (const auto& group : groups) {
    add_group(group, tallies[group], settings, report);
    add_owned(group, tallies[group], settings, report);
    owners[group].add_figures(fmt::format("budget, {}: whose error a finding is", group), report);
  }
  return report;
}

}  // namespace endpin::evaluation
