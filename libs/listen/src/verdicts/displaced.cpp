#include <algorithm>
#include <cmath>

#include "verdicts/time_findings.h"

namespace endpin::listen {
namespace {

constexpr double longest_breath_s = 0.75, breath_beats = 1.2;
constexpr double free_times = 4.5;  // of the player's own freedom
constexpr double least_confidence = 0.6;

void say_hesitation(TimeVerdicts& verdicts, const Stride& s, double wait_s) {
  Finding f = verdicts.take().about(FindingKind::hesitation, {s.from, s.to}, "finding.hesitation");
  f.message_args["note"] = verdicts.take().written(s.to).spelled.text();
  f.message_args["seconds"] = std::round(wait_s * 10) / 10;
  f.evidence["wait_s"] = wait_s;
  verdicts.say(std::move(f), 0.9);
}

void say_early_or_late(TimeVerdicts& verdicts, int i, double by_s, double beat_s) {
  const bool late = by_s > 0;
  Finding f = verdicts.take().about(late ? FindingKind::late : FindingKind::early, {i},
                                    late ? "finding.late" : "finding.early");
  f.message_args["percent"] = std::round(100 * std::abs(by_s) / beat_s);
  f.evidence["deviation_ms"] = 1000 * by_s;
  verdicts.say(std::move(f), 0.85);
}

// Between the end of a passage and its repeat a player may breathe.
bool at_repeat(const TakeView& take, const Stride& s) {
  return take.written(s.from).pass != take.written(s.to).pass;
}

bool may_be_judged(const TimeVerdicts& verdicts, const Stride& s) {
  const TakeView& take = verdicts.take();
  return !verdicts.said(s.to) && !take.written(s.from).fermata &&
         take.written(s.to).graces_before == 0 && take.sound(s.to).confidence >= least_confidence &&
         !at_repeat(take, s);
}

}  // namespace

void add_displaced(TimeVerdicts& verdicts) {
  const TakeView& take = verdicts.take();
  for (const Stride& s : take.strides()) {
    const Stride* next = take.stride_from(s.to);
    if (!next || !may_be_judged(verdicts, s)) continue;
    const double a = s.excess_s(), b = next->excess_s();
    const double beat = take.beat_s(s.to);
    const double limit = std::max(
        {take.limits().onset_s, take.limits().onset_beats * beat, free_times * take.freedom_s()});
    if (a > std::max({longest_breath_s, breath_beats * beat, limit}) && b > -0.4 * a) {
      say_hesitation(verdicts, s, a);
    } else if (std::abs(a) > limit && b * a < 0 && std::abs(b) > 0.5 * std::abs(a)) {
      say_early_or_late(verdicts, s.to, a, beat);
    }
  }
}

}  // namespace endpin::listen
