#include <algorithm>
#include <cmath>

#include "verdicts/time_findings.h"

namespace endpin::listen {
namespace {

constexpr double longest_breath_s = 0.75, breath_beats = 1.2;
constexpr double free_times = 4.5;  // of the player's own freedom
// A tempo that is that much freer for a long note moves what follows it by as much of it.
constexpr double free_share = 0.1;

void say_hesitation(TimeVerdicts& verdicts, const Stride& s, double wait_s) {
  Finding f = verdicts.take().about(FindingKind::hesitation, {s.from, s.to}, "finding.hesitation");
  f.message_args["note"] = verdicts.take().written(s.to).spelled.text();
  f.message_args["seconds"] = std::round(wait_s * 10) / 10;
  f.evidence["wait_s"] = wait_s;
  verdicts.say(std::move(f), 0.9);
}

// Something else was played meanwhile: that is said, and is no wait.
bool was_filled(const TakeView& take, const Stride& s) {
  const auto& extra = take.extra();
  return std::any_of(extra.begin(), extra.end(), [&](const ExtraNote& e) {
    return e.onset > take.sound(s.from).onset && e.onset < take.sound(s.to).onset;
  });
}

}  // namespace

void add_displaced(TimeVerdicts& verdicts) {
  const TakeView& take = verdicts.take();
  for (const Stride& s : take.strides()) {
    const Stride* next = take.stride_from(s.to);
    if (!next || !may_be_judged(verdicts, s) || !take.begins_clearly(s.from)) continue;
    const double a = s.excess_s(), b = next->excess_s();
    const double beat = take.beat_s(s.to);
    const double limit =
        std::max({take.limits().onset_s, take.limits().onset_beats * beat,
                  free_times * take.freedom_s(), free_share * s.written_s * s.ratio});
    if (a > std::max({longest_breath_s, breath_beats * beat, limit}) && b > -0.4 * a) {
      if (!was_filled(take, s)) say_hesitation(verdicts, s, a);
    } else if (std::abs(a) > limit && b * a < 0 && std::abs(b) > 0.5 * std::abs(a)) {
      say_early_or_late(verdicts, s.to, a);
    }
  }
}

}  // namespace endpin::listen
