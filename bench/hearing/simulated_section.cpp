#include <cmath>

#include <fmt/format.h>

#include "evaluation.h"
#include "onset_errors.h"

namespace endpin::evaluation {
namespace {

using namespace measures;
using namespace simulator;

struct Tally : MatchTally {
  std::vector<std::vector<NoteError>> errors;
};

void count(const Take& take, const Hearing& hearing, Tally& tally) {
  count_matched(take, hearing, tally);
  tally.errors.push_back(
      note_errors(take.timeline, truth_by_index(take.performance), hearing.notes));
}

void describe_worst(const Take& take, const Hearing& hearing, Report& report) {
  const auto errors = note_errors(take.timeline, truth_by_index(take.performance), hearing.notes);
  int told = 0;
  for (const auto& e : errors) {
    if ((e.found && std::abs(e.onset_s) <= 0.05) || ++told > 3) continue;
    report.failures.push_back(fmt::format(
        "{}: note {} ({}) {} {:+.0f} ms |{}", take.name, e.index, measures::name(e.boundary),
        endpin::name(e.state), e.found ? 1000 * e.onset_s : NAN,
        notes_in_words(take.timeline, hearing, e.index - 1, e.index + 1)));
  }
}

void figures(const std::string& on, const Tally& tally, const Settings& settings, Report& report) {
  auto onset = share_figure(on, "note F, onsets at 50 ms", tally.onsets, "notes×2", settings.seed);
  onset.at_least = 0.98;
  report.add(onset);
  auto offset =
      share_figure(on, "note F with offsets", tally.with_offsets, "notes×2", settings.seed);
  offset.at_least = 0.90;
  report.add(offset);
  Figure cents{on, "median error of pitch", 0, "cents", std::nullopt, 0};
  cents.n = static_cast<int>(tally.cents.size());
  cents.of = "notes";
  cents.at_most = 4;
  if (!tally.cents.empty()) {
    cents.value = median(tally.cents);
    cents.interval = median_interval(tally.cents, settings.seed);
  }
  report.add(cents);
}

void by_class(const std::string& on, const Tally& tally, const Settings& settings, Report& report) {
  for (int c = 0; c < boundary_classes; ++c) {
    std::vector<Share> shares;
    std::vector<double> distances;
    std::vector<double> signed_ones;
    for (const auto& take : tally.errors) {
      Share share;
      for (const auto& e : take) {
        if (static_cast<int>(e.boundary) != c) continue;
        share.cases += 1;
        share.hits += e.found && std::abs(e.onset_s) <= 0.05 ? 1 : 0;
        if (!e.found) continue;
        distances.push_back(1000 * std::abs(e.onset_s));
        signed_ones.push_back(1000 * e.onset_s);
      }
      shares.push_back(share);
    }
    const char* boundary = measures::name(static_cast<BoundaryClass>(c));
    report.add(share_figure(on, fmt::format("  {} within 50 ms", boundary), shares, "notes",
                            settings.seed));
    if (distances.empty()) continue;
    Figure middle{on, fmt::format("  {} median error", boundary), median(distances), "ms", {}, 0};
    middle.n = static_cast<int>(distances.size());
    middle.of = "notes";
    report.add(middle);
    Figure bias{on, fmt::format("  {} bias", boundary), median(signed_ones), "ms", {}, 0};
    bias.n = middle.n;
    bias.of = "notes";
    report.add(bias);
  }
}

}  // namespace

Report simulated_section(const Settings& settings, const Studio& studio) {
  Report report;
  Tally all;
  const int takes = settings.count(6, 40);
  for (const auto condition :
       {Condition::clean, Condition::room, Condition::phone_20, Condition::phone_10}) {
    Tally tally;
    for (int i = 0; i < takes; ++i) {
      static const char* instruments[] = {"cello", "violin", "cello", "viola"};
      TakeOptions options;
      options.instrument = instruments[i % 4];
      options.player = i % 3 == 0 ? professional() : good_student();
      options.condition = condition;
      options.recorded = i % 2 == 0;
      const auto take = studio.take(options, settings.seed * 1000 + static_cast<unsigned>(i));
      const auto heard = hear_take(take.timeline, take.audio);
      append_rows(settings.rows, take, heard.hearing);
      count(take, heard.hearing, tally);
      count(take, heard.hearing, all);
      describe_worst(take, heard.hearing, report);
    }
    figures(std::string("simulated, ") + name(condition), tally, settings, report);
  }
  figures("simulated, all conditions", all, settings, report);
  by_class("simulated, all conditions", all, settings, report);
  return report;
}

}  // namespace endpin::evaluation
