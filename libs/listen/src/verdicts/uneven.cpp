#include <algorithm>
#include <cmath>
#include <vector>

#include "verdicts/time_findings.h"

namespace endpin::listen {
namespace {

// Pairs written even count as uneven from 4 : 3 on where two of three lean the same way, and the
// mean lies four standard errors of this player's own freedom from even (ours).
constexpr double uneven_ratio = 1.33, least_uneven = 1.08, uneven_errors = 4;
constexpr std::size_t fewest_pairs = 3;
constexpr double most_freedom_s = 0.03;  // what is more comes from the unevenness itself

struct PairRun {
  std::vector<int> notes;
  std::vector<double> ratios;  // logarithms, first over second
};

// Two equal notes that make up a beat, or half a beat where they are shorter than eighths.
bool begins_pair(const TimelineNote& a, const TimelineNote& b) {
  if (a.duration != b.duration || a.duration > Beats(1, 2)) return false;
  return a.duration == Beats(1, 2) ? a.onset.denominator() == 1
                                   : (a.onset * Beats(2)).denominator() == 1;
}

// Nothing explains the time of its notes or makes it free. They need not begin clearly: a run tells
// by the middle of many pairs.
bool may_count(const TimeVerdicts& verdicts, const Stride& first, const Stride& second) {
  return !verdicts.said(first.from) && verdicts.take().written(first.from).graces_before == 0 &&
         is_the_players_own(verdicts, first) && is_the_players_own(verdicts, second);
}

std::vector<PairRun> pair_runs(const TimeVerdicts& verdicts) {
  const TakeView& take = verdicts.take();
  std::vector<PairRun> runs;
  Beats expected;
  for (const Stride& s : take.strides()) {
    const TimelineNote &a = take.written(s.from), &b = take.written(s.to);
    const Stride* second = take.stride_from(s.to);
    if (!begins_pair(a, b) || !second) continue;
    if (b.onset + b.duration != take.written(second->to).onset) continue;
    if (!may_count(verdicts, s, *second)) continue;
    if (runs.empty() || expected != a.onset) runs.emplace_back();
    runs.back().notes.insert(runs.back().notes.end(), {s.from, s.to});
    runs.back().ratios.push_back(std::log(s.heard_s / second->heard_s));
    expected = b.onset + b.duration;
  }
  return runs;
}

// Standard error of the mean of logarithms of the run's ratios, from the freedom of single steps:
// the middle onset of a pair moves both halves.
double error_of(const TakeView& take, const PairRun& run) {
  const Stride* first = take.stride_from(run.notes.front());
  const double half_s = first ? first->ratio * first->written_s : 0.25;
  const double onset_s = std::min(take.freedom_s(), most_freedom_s) / std::sqrt(2.0);
  return std::sqrt(6.0) * onset_s / half_s / std::sqrt(static_cast<double>(run.ratios.size()));
}

}  // namespace

void add_uneven(TimeVerdicts& verdicts) {
  for (PairRun& run : pair_runs(verdicts)) {
    auto& ratios = run.ratios;
    if (ratios.size() < fewest_pairs) continue;
    std::sort(ratios.begin(), ratios.end());
    const double middle = ratios[ratios.size() / 2];
    const double least =
        middle > 0 ? ratios[ratios.size() / 3] : -ratios[ratios.size() - 1 - ratios.size() / 3];
    if (std::abs(middle) < std::log(uneven_ratio) || least < std::log(least_uneven)) continue;
    if (std::abs(middle) < uneven_errors * error_of(verdicts.take(), run)) continue;
    Finding f = verdicts.take().about(
        FindingKind::uneven, run.notes,
        middle > 0 ? "finding.uneven.long-short" : "finding.uneven.short-long");
    f.message_args["count"] = static_cast<double>(ratios.size());
    f.evidence["ratio"] = std::exp(std::abs(middle));
    verdicts.say(std::move(f), 0.85);
  }
}

}  // namespace endpin::listen
