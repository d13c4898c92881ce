#include "stage_tally.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <span>

#include <fmt/format.h>

#include "endpin/listen/findings.h"
#include "endpin/simulator/channel.h"

#include "ensemble.h"
#include "heartbeat.h"
#include "onset_errors.h"

namespace endpin::evaluation {
namespace {

using namespace measures;
using namespace simulator;

void count_findings(const Take& take, const Hearing& hearing, StageTally& tally) {
  const auto truth = true_findings(take.performance.findings, take.performance);
  const auto tolerated = true_findings(take.performance.tolerated, take.performance);
  const auto match = match_findings(truth, tolerated, hearing.findings);
  Share precision, recall;
  for (const auto& [kind, counts] : match.by_kind) {
    precision.hits += counts.matched, precision.cases += counts.found;
    recall.hits += counts.matched, recall.cases += counts.truth;
  }
  tally.precision.push_back(precision);
  tally.recall.push_back(recall);
  tally.falsely.push_back({match.false_findings.empty() ? 0.0 : 1.0, 1.0});
}

Share ends_that_hold(const std::vector<NoteError>& errors) {
  Share share;
  for (const auto& e : errors) {
    if (!e.has_offset) continue;
    share.cases += 1;
    share.hits += offset_holds(e) ? 1 : 0;
  }
  return share;
}

Share placed_within_50_ms(const std::vector<NoteError>& errors, BoundaryClass boundary) {
  Share share;
  for (const auto& e : errors) {
    if (e.boundary != boundary) continue;
    share.cases += 1;
    share.hits += e.found && std::abs(e.onset_s) <= 0.05 ? 1 : 0;
  }
  return share;
}

double cases_of(const std::vector<Share>& shares) {
  return std::accumulate(shares.begin(), shares.end(), 0.0,
                         [](double sum, const Share& share) { return sum + share.cases; });
}

constexpr Condition conditions[] = {Condition::clean, Condition::room, Condition::hall,
                                    Condition::phone_20, Condition::phone_10};

TakeOptions options_of(int i, bool right) {
  static const char* instruments[] = {"cello", "violin", "bass", "viola"};
  TakeOptions options;
  options.instrument = instruments[i % 4];
  options.player = right && i % 2 == 0 ? professional() : i % 2 == 0 ? beginner() : good_student();
  options.recorded = (i / 2) % 2 == 0;
  return options;
}

// The others as loud as the student, all three together, in a room.
Take in_company(const Settings& settings, Take take, std::uint64_t seed) {
  auto others =
      companions(take.timeline, placed(truth_by_index(take.performance)), take.audio.duration(),
                 take.audio.rate, settings.fitting ? 20 : 120, seed);
  take.audio = among(std::move(take.audio), std::move(others), Decibels(0));
  add_room(take.audio, Seconds(0.5), seed);
  return take;
}

}  // namespace

Hearing hear_staged_take(const Timeline& timeline, const Audio& audio,
                         const listen::StagedOptions& options) {
  const AudioView view{audio.samples, static_cast<double>(audio.rate)};
  Hearing hearing = listen::hear_staged(std::span(&timeline, 1), view, options);
  add_findings(hearing, std::span(&timeline, 1));
  beat();
  return hearing;
}

void count_stage(const Take& take, const Hearing& hearing, StageTally& tally) {
  count_matched(take, hearing, tally);
  const auto errors = note_errors(take.timeline, truth_by_index(take.performance), hearing.notes);
  tally.ends.push_back(ends_that_hold(errors));
  tally.rests.push_back(placed_within_50_ms(errors, BoundaryClass::after_rest));
  tally.slurs.push_back(placed_within_50_ms(errors, BoundaryClass::slur));
  tally.repeats.push_back(placed_within_50_ms(errors, BoundaryClass::repeated_pitch));
  tally.accused.push_back(accused(take.timeline, take.performance, hearing));
  count_findings(take, hearing, tally);
}

void count_stage(const Recording& recording, Seconds tolerance, const Hearing& hearing,
                 StageTally& tally) {
  const auto errors = note_errors(recording.timeline, recording.truth, hearing.notes);
  for (std::size_t i = 0; i < errors.size(); ++i) {
    const auto& e = errors[i];
    const bool near = e.found && std::abs(e.onset_s) <= tolerance.value();
    tally.onsets.push_back({near ? 1.0 : 0.0, 1.0});
    if (recording.truth[i].complete) tally.ends.push_back({offset_holds(e) ? 1.0 : 0.0, 1.0});
    const bool blamed = e.state == NoteState::wrong || e.state == NoteState::missed;
    tally.accused.push_back({blamed ? 1.0 : 0.0, 1.0});
  }
  const auto said = std::count_if(hearing.findings.begin(), hearing.findings.end(),
                                  [](const Finding& f) { return tone(f.kind) == Tone::work; });
  tally.falsely.push_back({said > 0 ? 1.0 : 0.0, 1.0});
}

void each_stage_take(const Settings& settings, const Studio& studio, int of,
                     const std::function<void(const std::string&, const Take&)>& use) {
  for (const auto condition : conditions) {
    for (int i = 0; i < of; ++i) {
      auto options = options_of(i, true);
      options.condition = condition;
      const auto seed = settings.seed * 1000 + 400 + static_cast<unsigned>(i);
      use(std::string("right, ") + name(condition), studio.take(options, seed));
    }
  }
  for (int i = 0; i < of; ++i) {
    const auto seed = settings.seed * 1000 + 450 + static_cast<unsigned>(i);
    use("right, an ensemble as loud",
        in_company(settings, studio.take(options_of(i, true), seed), seed));
  }
  for (int f = 0; f < fault_kinds; ++f) {
    const auto fault = static_cast<Fault>(f);
    if (!settings.try_exactly(name(fault))) continue;
    for (int i = 0; i < of; ++i) {
      auto options = options_of(f + i, false);
      options.condition = conditions[static_cast<std::size_t>(f + 2 * i) % std::size(conditions)];
      const auto seed = settings.seed * 100000 + static_cast<unsigned>(f * 1000 + 500 + i);
      if (const auto take = studio.take_with(fault, options, seed)) use("faults", *take);
    }
  }
}

void add_stage_figures(const std::string& on, const StageTally& tally, const Settings& settings,
                       Report& report) {
  for (const auto& [what, part, of] : compared) {
    if (cases_of(tally.*part) > 0)
      report.add(share_figure(on, what, tally.*part, of, settings.seed));
  }
  if (tally.cents.empty()) return;
  report.add({on, "median error of pitch", median(tally.cents), "cents",
              median_interval(tally.cents, settings.seed), static_cast<int>(tally.cents.size()),
              "notes"});
}

Figure difference_figure(std::string on, const Compared& by, const StageTally& base,
                         const StageTally& changed, std::uint64_t seed) {
  const auto& a = base.*by.part;
  const auto& b = changed.*by.part;
  const auto drawn = [](const std::vector<Share>& from, const std::vector<std::size_t>& which) {
    std::vector<Share> shares;
    for (const std::size_t i : which) shares.push_back(from[i]);
    return proportion(shares);
  };
  Figure figure{std::move(on), by.what, proportion(b) - proportion(a), "%", std::nullopt, 0};
  figure.interval = bootstrap(
      std::min(a.size(), b.size()),
      [&](const std::vector<std::size_t>& which) { return drawn(b, which) - drawn(a, which); },
      seed);
  figure.n = static_cast<int>(std::lround(std::min(cases_of(a), cases_of(b))));
  figure.of = by.of;
  return figure;
}

}  // namespace endpin::evaluation
