#include <algorithm>
#include <cmath>
#include <map>

#include <fmt/format.h>

#include "evaluation.h"

namespace endpin::evaluation {
namespace {

using namespace measures;
using namespace simulator;

struct KindTally {
  std::vector<Share> precision;
  std::vector<Share> recall;
};

struct FaultTally {
  std::vector<Share> found;      ///< expected findings that came out
  std::vector<Share> disturbed;  ///< takes with a false finding
};

TakeOptions beginner_options(int i) {
  static const char* instruments[] = {"cello", "violin", "cello", "viola", "bass"};
  static const Condition conditions[] = {Condition::clean, Condition::room, Condition::phone_20,
                                         Condition::room, Condition::phone_10};
  TakeOptions options;
  options.instrument = instruments[i % 5];
  options.player = i % 2 == 0 ? beginner() : good_student();
  options.condition = conditions[(i / 2) % 5];
  options.recorded = (i / 3) % 2 == 0;
  return options;
}

void judge(const Take& take, Fault fault, const Hearing& hearing,
           std::map<FindingKind, KindTally>& kinds, FaultTally& tally, Report& report) {
  const auto truth = true_findings(take.performance.findings, take.performance);
  const auto tolerated = true_findings(take.performance.tolerated, take.performance);
  const auto match = match_findings(truth, tolerated, hearing.findings);
  Share found;
  for (const auto& [kind, counts] : match.by_kind) {
    kinds[kind].precision.push_back({1.0 * counts.matched, 1.0 * counts.found});
    kinds[kind].recall.push_back({1.0 * counts.matched, 1.0 * counts.truth});
    found.hits += counts.matched;
    found.cases += counts.truth;
  }
  tally.found.push_back(found);
  tally.disturbed.push_back({match.false_findings.empty() ? 0.0 : 1.0, 1.0});
  for (const auto* finding : match.false_findings) {
    std::string notes;
    if (!finding->notes.empty()) {
      const int i = finding->notes.front();
      notes = notes_in_words(take.timeline, hearing, i - 1, i + 1);
      for (const auto& played : take.performance.notes) {
        if (played.index != i) continue;
        notes += fmt::format(" TRUE m{} {:.2f}-{:.2f} {:+.0f}c", played.midi, played.onset.value(),
                             played.offset.value(), played.cents);
      }
    }
    report.failures.push_back(
        fmt::format("FALSE in {}: {} |{}", take.name, in_words(*finding), notes));
  }
  for (const auto* missing : match.not_found) {
    std::string notes;
    if (!missing->notes.empty()) {
      notes = notes_in_words(take.timeline, hearing, missing->notes.front() - 1,
                             std::min(missing->notes.back(), missing->notes.front() + 3) + 1);
    }
    report.failures.push_back(
        fmt::format("UNSAID {} ({}): {} |{}", take.name, name(fault), in_words(*missing), notes));
  }
}

/// The second try's place in time, and where it went on.
void judge_restart(const Take& take, const Hearing& hearing, std::vector<Share>& found,
                   std::vector<double>& distances) {
  for (const auto& truth : take.performance.restarts) {
    Share share{0, 1};
    for (const auto& r : hearing.restarts) {
      const double distance = std::abs((r.time - truth.time).value());
      if (r.to_index != truth.to_index || distance > 2) continue;
      share.hits = 1;
      distances.push_back(distance);
      break;
    }
    found.push_back(share);
  }
}

void kind_figures(const std::map<FindingKind, KindTally>& kinds, const Settings& settings,
                  Report& report) {
  KindTally all;
  for (const auto& [kind, tally] : kinds) {
    const std::string word(endpin::name(kind));
    report.add(share_figure("findings by kind", word + " precision", tally.precision, "said",
                            settings.seed));
    report.add(
        share_figure("findings by kind", word + " recall", tally.recall, "true", settings.seed));
    all.precision.insert(all.precision.end(), tally.precision.begin(), tally.precision.end());
    all.recall.insert(all.recall.end(), tally.recall.begin(), tally.recall.end());
  }
  auto precision =
      share_figure("findings, all kinds", "precision", all.precision, "said", settings.seed);
  precision.at_least = 0.97;
  report.add(precision);
  auto recall = share_figure("findings, all kinds", "recall", all.recall, "true", settings.seed);
  recall.at_least = 0.85;
  report.add(recall);
}

}  // namespace

Report faults_section(const Settings& settings, const Studio& studio) {
  Report report;
  std::map<FindingKind, KindTally> kinds;
  std::vector<Share> restarts;
  std::vector<double> restart_errors;
  const int takes = settings.takes.value_or(settings.count(4, 100));
  for (int f = 0; f < fault_kinds; ++f) {
    const auto fault = static_cast<Fault>(f);
    if (!settings.try_exactly(name(fault))) continue;
    FaultTally tally;
    for (int i = 0; i < takes; ++i) {
      const auto seed = settings.seed * 100000 + static_cast<unsigned>(f * 1000 + i);
      const auto take = studio.take_with(fault, beginner_options(i), seed);
      if (!take) continue;
      const auto heard = hear_take(take->timeline, take->audio);
      append_rows(settings.rows, *take, heard.hearing);
      judge(*take, fault, heard.hearing, kinds, tally, report);
      judge_restart(*take, heard.hearing, restarts, restart_errors);
    }
    const std::string on = "simulated beginners by fault";
    if (fault < Fault::whole_take_flat) {
      report.add(share_figure(on, std::string(name(fault)) + ": said", tally.found, "faults",
                              settings.seed));
    }
    report.add(share_figure(on, std::string(name(fault)) + ": takes with a false finding",
                            tally.disturbed, "takes", settings.seed));
  }
  kind_figures(kinds, settings, report);
  auto found = share_figure("restarts, simulated", "found, right destination", restarts, "restarts",
                            settings.seed);
  found.at_least = 0.9;
  report.add(found);
  if (!restart_errors.empty()) {
    Figure error{"restarts, simulated",
                 "time error, 90th percentile",
                 quantile(restart_errors, 0.9),
                 "s",
                 std::nullopt,
                 0};
    error.n = static_cast<int>(restart_errors.size());
    error.of = "restarts";
    error.at_most = 0.3;
    report.add(error);
  }
  return report;
}

}  // namespace endpin::evaluation
