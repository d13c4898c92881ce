#include <algorithm>
#include <cmath>

#include "verdicts/time_findings.h"

namespace endpin::listen {
namespace {

constexpr double longest_breath_s = 0.75, breath_beats = 1.2;
constexpr double free_times = 4.5;  // of the player's own freedom
// A tempo that is that much freer for a long note moves what follows it by as much of it.
constexpr double free_share = 0.1;
// A player who keeps time does not stay for all of a beat by chance, nor leave that much of a note
// out and go on in time (ours).
constexpr double whole_beat = 0.85, strict_beats = 0.12, least_wait_s = 0.5, least_lost_s = 0.2;
constexpr double lost_beats = 0.45, lost_share = 0.3, in_time_beats = 0.2;

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

// The note before was not found: what was found then may be the one for the other.
bool place_was_lost_before(const TakeView& take, int i) {
  return i > 0 && !take.stride_to(i) && take.note(i - 1).state == NoteState::uncertain;
}

// How far a step is longer than it ought to be by the tempo around it, and by the take's: what both
// say, of the lesser; 0 where they do not agree. Around a bar at another tempo the first is wrong.
double excess_by_both(const TakeView& take, const Stride& s) {
  const double near = s.excess_s(), far = s.heard_s - take.pace() * s.written_s;
  if (near * far <= 0) return 0;
  return std::abs(near) < std::abs(far) ? near : far;
}

// Nothing else is said of where the step begins, and the steps around it take their time.
bool stands_alone(const TimeVerdicts& verdicts, const Stride& s, const Stride& next) {
  const TakeView& take = verdicts.take();
  const double most = in_time_beats * take.beat_s(s.to);
  const Stride* before = take.stride_to(s.from);
  return before && !verdicts.said(s.from) && std::abs(next.excess_s()) < most &&
         std::abs(before->excess_s()) < most;
}

// Of a player who keeps time: seconds by which a note was held too long, or cut, in itself. 0: not
// by so much that it cannot be chance.
double own_excess_s(const TimeVerdicts& verdicts, const Stride& s, const Stride& next) {
  const TakeView& take = verdicts.take();
  const double beat = take.beat_s(s.to), a = excess_by_both(take, s);
  if (take.freedom_s() > strict_beats * beat || !stands_alone(verdicts, s, next)) return 0;
  const double lost_s =
      std::max({least_lost_s, lost_beats * beat, lost_share * s.written_s * s.ratio});
  return a > std::max(least_wait_s, whole_beat * beat) || a < -lost_s ? a : 0;
}

}  // namespace

void add_displaced(TimeVerdicts& verdicts) {
  const TakeView& take = verdicts.take();
  for (const Stride& s : take.strides()) {
    const Stride* next = take.stride_from(s.to);
    if (!next || !may_be_judged(verdicts, s) || !take.begins_clearly(s.from)) continue;
    if (place_was_lost_before(take, s.from)) continue;
    const double a = s.excess_s(), b = next->excess_s();
    const double beat = take.beat_s(s.to);
    const double limit =
        std::max({take.limits().onset_s, take.limits().onset_beats * beat,
                  free_times * take.freedom_s(), free_share * s.written_s * s.ratio});
    const double own_s = own_excess_s(verdicts, s, *next);
    const bool waits = a > std::max({longest_breath_s, breath_beats * beat, limit}) && b > -0.4 * a;
    if (waits || own_s > limit) {
      if (!was_filled(take, s)) say_hesitation(verdicts, s, a);
    } else if (own_s < -limit) {
      say_early_or_late(verdicts, s.to, a);
    } else if (std::abs(a) > limit && b * a < 0 && std::abs(b) > 0.5 * std::abs(a)) {
      say_early_or_late(verdicts, s.to, a);
    }
  }
}

}  // namespace endpin::listen
