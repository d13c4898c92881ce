#include <algorithm>

#include "fault_edits.h"

namespace endpin::simulator {
namespace {

void remove(Edit& edit, std::size_t from, std::size_t to) {
  auto& all = edit.plan.intents;
  if (to < all.size()) all[to].joined = false;
  all.erase(all.begin() + static_cast<std::ptrdiff_t>(from),
            all.begin() + static_cast<std::ptrdiff_t>(to));
}

/// Its time stays empty.
bool missed(Edit& edit) {
  const auto i = edit.pick([&](std::size_t k) { return edit.alone(k); });
  if (!i) return false;
  remove(edit, *i, *i + 1);
  edit.expect(FindingKind::missed, {static_cast<int>(*i)});
  edit.tolerate_timing(indices(*i - 1, *i + 2));
  return true;
}

/// The note is struck twice within its time.
bool doubled(Edit& edit) {
  const auto i =
      edit.pick([&](std::size_t k) { return edit.alone(k) && edit.note(k).duration >= Beats(1); });
  if (!i) return false;
  Intent again = edit.intent(*i);
  edit.intent(*i).length /= 2;
  again.length /= 2;
  again.at += again.length;
  again.index = -1;
  edit.plan.intents.insert(edit.plan.intents.begin() + static_cast<std::ptrdiff_t>(*i) + 1, again);
  edit.expect(FindingKind::extra, indices(*i, *i + 2));
  edit.tolerate(FindingKind::short_held, {static_cast<int>(*i)});
  edit.tolerate(FindingKind::not_separated, {static_cast<int>(*i)});  // the second goes on
  return true;
}

/// A foreign note between two, in half of the first one's time.
bool extra(Edit& edit) {
  const auto i = edit.pick([&](std::size_t k) {
    return edit.alone(k) && edit.alone(k + 1) && edit.note(k).duration >= Beats(1);
  });
  if (!i) return false;
  Intent foreign = edit.intent(*i);
  edit.intent(*i).length /= 2;
  foreign.length /= 2;
  foreign.at += foreign.length;
  foreign.index = -1;
  foreign.finger = 3;
  do {
    foreign.midi = edit.note(*i).midi + edit.random.whole(-4, 5);
  } while (foreign.midi == edit.note(*i).midi || foreign.midi == edit.note(*i + 1).midi);
  edit.plan.intents.insert(edit.plan.intents.begin() + static_cast<std::ptrdiff_t>(*i) + 1,
                           foreign);
  edit.expect(FindingKind::extra, indices(*i, *i + 2));
  edit.tolerate(FindingKind::short_held, {static_cast<int>(*i)});
  return true;
}

/// Stops before intent `stop`, waits, and goes on from intent `back`.
bool go_back(Edit& edit, std::size_t stop, std::size_t back) {
  if (back >= stop || stop < 3 || stop >= edit.size()) return false;
  auto& all = edit.plan.intents;
  const double shift = all[stop - 1].at + all[stop - 1].length - all[back].at;
  std::vector<Intent> rest(all.begin() + static_cast<std::ptrdiff_t>(back), all.end());
  for (std::size_t i = back; i < stop; ++i) all[i].attempt = true;
  all.resize(stop);
  for (auto& intent : rest) intent.at += shift;
  rest.front().wait_s = edit.random.uniform(0.6, 2.0);
  rest.front().joined = false;
  all.insert(all.end(), rest.begin(), rest.end());
  const auto around = indices(back, stop);
  edit.plan.restarts.push_back({stop, static_cast<int>(stop) - 1, static_cast<int>(back)});
  edit.expect(FindingKind::restart, around);
  edit.tolerate_timing(indices(back, std::min(stop + 1, edit.timeline.notes.size())));
  return true;
}

bool restart(Edit& edit) {
  const auto starts = edit.bar_starts();
  if (starts.size() < 5) return false;
  const auto bar =
      static_cast<std::size_t>(edit.random.whole(3, static_cast<int>(starts.size()) - 2));
  const auto back = bar - static_cast<std::size_t>(edit.random.whole(1, 2));
  const auto stop = starts[bar] + static_cast<std::size_t>(edit.random.whole(1, 3));
  return go_back(edit, std::min(stop, starts[bar + 1]), starts[back]);
}

bool restart_same_bar(Edit& edit) {
  const auto starts = edit.bar_starts();
  if (starts.size() < 4) return false;
  const auto bar =
      static_cast<std::size_t>(edit.random.whole(1, static_cast<int>(starts.size()) - 2));
  const auto stop = std::min(starts[bar] + 3, starts[bar + 1]);
  return stop - starts[bar] >= 2 && go_back(edit, stop, starts[bar]);
}

bool leave_out(Edit& edit, std::size_t from, std::size_t to, double quarters, bool must_say) {
  edit.shift(to, -quarters);
  remove(edit, from, to);
  const auto notes = indices(from, to);
  if (must_say) edit.expect(FindingKind::missed, notes);
  edit.tolerate_each(FindingKind::missed, notes);
  return true;
}

bool skipped_bar(Edit& edit) {
  const auto bar = edit.pick_bar();
  if (!bar) return false;
  const auto [from, to] = *bar;
  return leave_out(edit, from, to, edit.intent(to).at - edit.intent(from).at, true);
}

/// Its time stays empty, and playing goes on where it would have.
bool bar_sat_out(Edit& edit) {
  const auto bar = edit.pick_bar();
  if (!bar) return false;
  const auto [from, to] = *bar;
  const auto notes = indices(from, to);
  remove(edit, from, to);
  edit.expect(FindingKind::missed, notes);
  edit.tolerate_each(FindingKind::missed, notes);
  edit.tolerate_timing(indices(from - 1, to + 1));
  return true;
}

/// Straight on after the first time through.
bool repeat_left_out(Edit& edit) {
  std::size_t from = edit.size();
  std::size_t to = 0;
  for (std::size_t i = 0; i < edit.size(); ++i) {
    if (edit.note(i).pass != 2) continue;
    from = std::min(from, i);
    to = std::max(to, i + 1);
  }
  if (from >= to || to >= edit.size()) return false;
  return leave_out(edit, from, to, edit.intent(to).at - edit.intent(from).at, true);
}

}  // namespace

bool edit_order(Edit& edit, Fault fault) {
  switch (fault) {
    case Fault::missed_note:
      return missed(edit);
    case Fault::doubled_note:
      return doubled(edit);
    case Fault::extra_note:
      return extra(edit);
    case Fault::restart:
      return restart(edit);
    case Fault::restart_same_bar:
      return restart_same_bar(edit);
    case Fault::skipped_bar:
      return skipped_bar(edit);
    case Fault::repeat_left_out:
      return repeat_left_out(edit);
    case Fault::bar_sat_out:
      return bar_sat_out(edit);
    default:
      return false;
  }
}

}  // namespace endpin::simulator
