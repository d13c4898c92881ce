#include "verdicts/time_findings.h"

#include <algorithm>
#include <cmath>

namespace endpin::listen {

TimeVerdicts::TimeVerdicts(const TakeView& take, Findings& out) : take_(take), out_(out) {
  const auto& bars = take.timeline().bars;
  std::set<int> targets;
  for (std::size_t b = 1; b < bars.size(); ++b) {
    if (bars[b].written_index != bars[b - 1].written_index + 1) {
      targets.insert(bars[b].written_index);
    }
  }
  for (const TimelineBar& bar : bars) {
    if (targets.contains(bar.written_index)) sections_.push_back(bar.start);
  }
}

bool TimeVerdicts::begins_section(const Stride& step) const {
  const auto next =
      std::upper_bound(sections_.begin(), sections_.end(), take_.written(step.from).onset);
  return next != sections_.end() && *next <= take_.written(step.to).onset;
}

bool is_the_players_own(const TimeVerdicts& verdicts, const Stride& step) {
  const TakeView& take = verdicts.take();
  const TimelineNote &from = take.written(step.from), &to = take.written(step.to);
  // A player may breathe there.
  const bool at_repeat = from.pass != to.pass || verdicts.begins_section(step);
  return !verdicts.said(step.to) && !from.fermata && to.graces_before == 0 && !at_repeat;
}

bool may_be_judged(const TimeVerdicts& verdicts, const Stride& step) {
  return is_the_players_own(verdicts, step) && verdicts.take().begins_clearly(step.to);
}

void say_early_or_late(TimeVerdicts& verdicts, int index, double by_s) {
  const bool late = by_s > 0;
  Finding f = verdicts.take().about(late ? FindingKind::late : FindingKind::early, {index},
                                    late ? "finding.late" : "finding.early");
  f.message_args["percent"] = std::round(100 * std::abs(by_s) / verdicts.take().beat_s(index));
  f.evidence["deviation_ms"] = 1000 * by_s;
  verdicts.say(std::move(f), 0.85);
}

void add_time_findings(const TakeView& take, Findings& out) {
  TimeVerdicts verdicts(take, out);
  add_other_rhythm(verdicts);
  add_other_tempo(verdicts);
  add_uneven(verdicts);
  add_pair_rhythm(verdicts);
  add_displaced(verdicts);
  add_drift(verdicts);
}

}  // namespace endpin::listen
