#include <algorithm>
#include <cmath>
#include <map>

#include "fault_edits.h"

namespace endpin::simulator {
namespace {

/// Pairs of eighths within beats, at least two in a row, as first intents.
std::vector<std::size_t> run_of_eighths(const Edit& edit) {
  std::vector<std::size_t> best;
  std::vector<std::size_t> run;
  for (std::size_t i = 0; i + 1 < edit.size(); ++i) {
    const auto& a = edit.note(i);
    const auto& b = edit.note(i + 1);
    const bool pair = a.duration == Beats(1, 2) && b.duration == Beats(1, 2) &&
                      a.onset.denominator() == 1 && b.onset - a.onset == Beats(1, 2);
    if (!pair) continue;
    const bool follows = !run.empty() && edit.note(run.back()).onset + Beats(1) == a.onset;
    if (!follows) run.clear();
    run.push_back(i);
    if (run.size() > best.size()) best = run;
  }
  return best;
}

/// The first of each pair longer by `quarters`, and the second later and shorter.
void swing(Edit& edit, const std::vector<std::size_t>& pairs, double quarters) {
  for (const auto first : pairs) {
    edit.intent(first).length += quarters;
    edit.intent(first + 1).at += quarters;
    edit.intent(first + 1).length -= quarters;
  }
}

bool uneven(Edit& edit) {
  const auto pairs = run_of_eighths(edit);
  if (pairs.size() < 3) return false;
  swing(edit, pairs, 1.0 / 6);  // long and short as two to one
  const auto notes = indices(pairs.front(), pairs.back() + 2);
  edit.expect(FindingKind::uneven, notes);
  edit.tolerate_timing(notes);
  return true;
}

/// As 62 to 38: some would call it a style. That it is uneven is true.
bool lightly_swung(Edit& edit) {
  const auto pairs = run_of_eighths(edit);
  if (pairs.size() < 3) return false;
  swing(edit, pairs, 0.12);
  edit.tolerate(FindingKind::uneven, indices(pairs.front(), pairs.back() + 2));
  return true;
}

bool place_within_bar(const Edit& edit, std::size_t i, std::size_t start, Beats& place) {
  if (i >= edit.timeline.notes.size()) return false;
  place = edit.note(i).onset - edit.note(start).onset;
  return true;
}

/// The two bars with the same pitches and different rhythms: the second in the first one's.
bool twin_bar(Edit& edit) {
  const auto starts = edit.bar_starts();
  for (std::size_t a = 0; a + 1 < starts.size(); ++a) {
    for (std::size_t b = a + 1; b + 1 < starts.size(); ++b) {
      const std::size_t count = starts[a + 1] - starts[a];
      if (starts[b + 1] - starts[b] != count || count < 3) continue;
      bool pitches = true;
      bool rhythm = true;
      for (std::size_t k = 0; k < count; ++k) {
        const auto& one = edit.note(starts[a] + k);
        const auto& two = edit.note(starts[b] + k);
        pitches = pitches && one.midi == two.midi;
        rhythm = rhythm && one.duration == two.duration;
      }
      if (!pitches || rhythm) continue;
      const double base = edit.intent(starts[b]).at;
      for (std::size_t k = 0; k < count; ++k) {
        Beats place;
        if (!place_within_bar(edit, starts[a] + k, starts[a], place)) return false;
        edit.intent(starts[b] + k).at = base + place.to_double();
        edit.intent(starts[b] + k).length = edit.note(starts[a] + k).duration.to_double();
      }
      const auto notes = indices(starts[b], starts[b + 1]);
      edit.expect(FindingKind::other_bar_rhythm, notes);
      edit.tolerate_timing(notes);
      return true;
    }
  }
  return false;
}

/// Another bar has the pitches of these notes, and the rhythm in which they are played now.
bool played_like_another_bar(Edit& edit, std::size_t from, std::size_t to) {
  const auto starts = edit.bar_starts();
  for (std::size_t b = 0; b + 1 < starts.size(); ++b) {
    if (starts[b] == from || starts[b + 1] - starts[b] != to - from) continue;
    bool same = true;
    for (std::size_t k = 0; same && k < to - from; ++k) {
      const Beats place = edit.note(starts[b] + k).onset - edit.note(starts[b]).onset;
      const double played = edit.intent(from + k).at - edit.intent(from).at;
      same = edit.note(starts[b] + k).midi == edit.note(from + k).midi &&
             std::abs(place.to_double() - played) < 1e-6;
    }
    if (same) return true;
  }
  return false;
}

/// Two quarters as a dotted quarter and an eighth: the second comes late.
bool wrong_rhythm(Edit& edit) {
  const auto i = edit.pick([&](std::size_t k) {
    const bool quarters =
        edit.note(k).duration == Beats(1) && edit.note(k + 1).duration == Beats(1);
    return quarters && edit.alone(k) && edit.alone(k + 1) &&
           edit.note(k).bar == edit.note(k + 1).bar && edit.note(k).midi != edit.note(k + 1).midi;
  });
  if (!i) return false;
  edit.intent(*i).length += 0.5;
  edit.intent(*i + 1).at += 0.5;
  edit.intent(*i + 1).length -= 0.5;
  const auto bar = edit.bar_of(*i);
  const auto notes = indices(bar.first, bar.second);
  if (played_like_another_bar(edit, bar.first, bar.second)) {
    edit.expect(FindingKind::other_bar_rhythm, notes);
  } else {
    edit.expect(FindingKind::late, {static_cast<int>(*i) + 1});
    edit.tolerate(FindingKind::other_bar_rhythm, notes);
  }
  edit.tolerate_timing(indices(*i, *i + 2));
  return true;
}

bool displaced(Edit& edit, double share, FindingKind kind) {
  const auto i = edit.pick([&](std::size_t k) {
    const double before = edit.intent(k).at - edit.intent(k - 1).at;
    return edit.alone(k) && edit.alone(k - 1) && before >= 1 && edit.note(k).duration >= Beats(1);
  });
  if (!i) return false;
  const double quarter = edit.timeline.tempo.tempo_at(Beats(0)).per_quarter().value();
  edit.intent(*i).delay_s = share * quarter;
  edit.expect(kind, {static_cast<int>(*i)});
  edit.tolerate_timing(indices(*i - 1, *i + 2));
  return true;
}

bool after_rest(const Edit& edit, std::size_t k) {
  return k > 0 && edit.note(k - 1).onset + edit.note(k - 1).duration < edit.note(k).onset;
}

/// The entry after a rest, and only it, late or early.
bool entry(Edit& edit, double quarters, FindingKind kind) {
  const auto i = edit.pick([&](std::size_t k) {
    return after_rest(edit, k) && edit.alone(k) && edit.note(k).duration >= Beats(1);
  });
  if (!i) return false;
  const double quarter = edit.timeline.tempo.tempo_at(Beats(0)).per_quarter().value();
  edit.intent(*i).delay_s = quarters * quarter;
  edit.expect(kind, {static_cast<int>(*i)});
  edit.tolerate_timing(indices(*i - 1, *i + 2));
  return true;
}

bool hesitation(Edit& edit) {
  const auto i = edit.pick([&](std::size_t k) {
    return edit.alone(k) &&
           edit.note(k - 1).onset + edit.note(k - 1).duration == edit.note(k).onset;
  });
  if (!i) return false;
  edit.intent(*i).wait_s = edit.random.uniform(1.0, 1.8);
  edit.expect(FindingKind::hesitation, indices(*i - 1, *i + 1));
  edit.tolerate_timing(indices(*i - 1, *i + 1));
  return true;
}

/// A bar at another tempo, `times` as long; then the old one again.
bool bar_at_another_tempo(Edit& edit, double times, FindingKind kind) {
  const auto bar = edit.pick_bar();
  if (!bar) return false;
  const auto [from, to] = *bar;
  if (to - from < 3) return false;
  const double base = edit.intent(from).at, length = edit.intent(to).at - base;
  for (std::size_t i = from; i < to; ++i) {
    edit.intent(i).at = base + times * (edit.intent(i).at - base);
    edit.intent(i).length *= times;
  }
  edit.shift(to, (times - 1) * length);
  edit.expect(kind, indices(from, to));
  edit.tolerate_timing(indices(from, to + 1));
  return true;
}

/// Everything after it comes later, or earlier, by as much.
void lengthen(Edit& edit, std::size_t i, double quarters) {
  edit.intent(i).length += quarters;
  edit.shift(i + 1, quarters);
  edit.tolerate_timing(indices(i, i + 2));
}

bool of_another_length(Edit& edit, double times, double least_quarters, FindingKind kind) {
  const auto i = edit.pick([&](std::size_t k) {
    return edit.alone(k) && edit.note(k).duration >= Beats(1) &&
           edit.note(k).duration.to_double() >= least_quarters &&
           edit.note(k).onset + edit.note(k).duration == edit.note(k + 1).onset;
  });
  if (!i) return false;
  lengthen(edit, *i, (times - 1) * edit.intent(*i).length);
  edit.expect(kind, indices(*i, *i + 2));
  return true;
}

/// Held for five seconds, and nothing says so.
bool held_for_seconds(Edit& edit) {
  const auto i = edit.pick([&](std::size_t k) { return edit.alone(k); });
  if (!i) return false;
  const double quarter = edit.timeline.tempo.tempo_at(Beats(0)).per_quarter().value();
  const double by = 5 / quarter - edit.intent(*i).length;
  if (by <= 0) return false;
  lengthen(edit, *i, by);
  return true;
}

/// The tempo runs away, or sinks, by a third over the second half of the take.
bool drift(Edit& edit, double to, FindingKind kind) {
  const std::size_t from = edit.size() / 3;
  for (std::size_t i = from; i < edit.size(); ++i) {
    const double way = static_cast<double>(i - from) / static_cast<double>(edit.size() - from);
    edit.intent(i).pace = 1 + (to - 1) * way;
  }
  edit.expect(kind, indices(from, edit.size()));
  return true;
}

}  // namespace

bool edit_time(Edit& edit, Fault fault) {
  switch (fault) {
    case Fault::uneven_eighths:
      return uneven(edit);
    case Fault::twin_bar:
      return twin_bar(edit);
    case Fault::wrong_rhythm:
      return wrong_rhythm(edit);
    case Fault::early_note:
      return displaced(edit, -0.35, FindingKind::early);
    case Fault::late_note:
      return displaced(edit, 0.35, FindingKind::late);
    case Fault::late_entry:
      return entry(edit, 0.5, FindingKind::late);
    case Fault::rest_cut_short:
      return entry(edit, -0.6, FindingKind::early);
    case Fault::hesitation:
      return hesitation(edit);
    case Fault::bar_twice_as_fast:
      return bar_at_another_tempo(edit, 0.5, FindingKind::rushing);
    case Fault::bar_half_as_fast:
      return bar_at_another_tempo(edit, 2, FindingKind::dragging);
    case Fault::held_twice_as_long:
      return of_another_length(edit, 2, 1, FindingKind::hesitation);
    case Fault::beat_lost:
      return of_another_length(edit, 0.5, 2, FindingKind::early);
    case Fault::held_for_seconds:
      return held_for_seconds(edit);
    case Fault::lightly_swung:
      return lightly_swung(edit);
    case Fault::rushing:
      return drift(edit, 1.35, FindingKind::rushing);
    case Fault::dragging:
      return drift(edit, 0.72, FindingKind::dragging);
    default:
      return false;
  }
}

}  // namespace endpin::simulator
