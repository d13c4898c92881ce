#include <algorithm>

#include "endpin/simulator/tunes.h"

#include "fault_edits.h"

namespace endpin::simulator {
namespace {

bool only_bars(Edit& edit, std::size_t from, std::size_t to) {
  auto& all = edit.plan.intents;
  all.erase(all.begin() + static_cast<std::ptrdiff_t>(to), all.end());
  all.erase(all.begin(), all.begin() + static_cast<std::ptrdiff_t>(from));
  all.front().joined = false;
  return true;
}

bool start_in_the_middle(Edit& edit) {
  const auto starts = edit.bar_starts();
  return starts.size() >= 6 && only_bars(edit, starts[starts.size() / 3], edit.size());
}

bool stop_early(Edit& edit) {
  const auto starts = edit.bar_starts();
  return starts.size() >= 6 && only_bars(edit, 0, starts[2 * starts.size() / 3]);
}

/// The bow touches the neighbouring string for a moment.
bool open_string_touched(Edit& edit) {
  const auto& strings = open_strings(edit.timeline.instrument);
  const auto i = edit.pick([&](std::size_t k) { return edit.note(k).duration >= Beats(1); });
  if (!i) return false;
  const int here = edit.intent(*i).string - 1;
  const int other = here + 1 < static_cast<int>(strings.size()) ? here + 1 : here - 1;
  edit.intent(*i).touched = strings[static_cast<std::size_t>(other)];
  edit.tolerate(FindingKind::extra, indices(*i - 1, *i + 2));
  return true;
}

bool scratch(Edit& edit) {
  const auto i = edit.pick([&](std::size_t k) { return edit.note(k).duration >= Beats(1); });
  if (!i) return false;
  edit.intent(*i).scratch = 0.8;
  return true;
}

}  // namespace

bool edit_harmless(Edit& edit, Fault fault) {
  switch (fault) {
    case Fault::whole_take_flat:
      edit.plan.a4_cents = -35;
      return true;  // A4 = 431 Hz
    case Fault::whole_take_slow:
      edit.plan.tempo_factor = 0.6;
      return true;
    case Fault::start_in_the_middle:
      return start_in_the_middle(edit);
    case Fault::stop_early:
      return stop_early(edit);
    case Fault::open_string_touched:
      return open_string_touched(edit);
    case Fault::scratch:
      return scratch(edit);
    case Fault::slow_attacks:
      for (auto& intent : edit.plan.intents) intent.attack_s = 0.11;  // a slow bow
      return true;
    default:
      return false;
  }
}

}  // namespace endpin::simulator
