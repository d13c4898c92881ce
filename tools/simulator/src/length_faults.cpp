#include <algorithm>

#include "fault_edits.h"

namespace endpin::simulator {
namespace {

bool plain(const Edit& edit, std::size_t i) {
  return edit.note(i).articulation == Articulation::none && !edit.plan.intents[i].plucked;
}

bool hold(Edit& edit, std::optional<std::size_t> i, double share, FindingKind kind) {
  if (!i) return false;
  edit.intent(*i).hold = share;
  edit.expect(kind, {static_cast<int>(*i)});
  return true;
}

bool short_held(Edit& edit) {
  const auto i = edit.pick([&](std::size_t k) {
    return edit.alone(k) && plain(edit, k) && edit.note(k).duration >= Beats(1);
  });
  return hold(edit, i, edit.random.uniform(0.35, 0.45), FindingKind::short_held);
}

bool cut_final(Edit& edit) {
  const std::size_t last = edit.size() - 1;
  if (edit.note(last).duration < Beats(2)) return false;
  return hold(edit, last, edit.random.uniform(0.3, 0.45), FindingKind::short_held);
}

/// A dotted note played on to the next.
bool not_separated(Edit& edit) {
  const auto i = edit.pick([&](std::size_t k) {
    const bool abuts = edit.note(k).onset + edit.note(k).duration == edit.note(k + 1).onset;
    return edit.note(k).articulation == Articulation::staccato && abuts;
  });
  return hold(edit, i, 1.0, FindingKind::not_separated);
}

/// All of them, that is: four at least.
bool no_dot_played(Edit& edit) {
  std::vector<int> dotted;
  for (std::size_t i = 0; i < edit.size(); ++i) {
    if (edit.note(i).articulation != Articulation::staccato) continue;
    edit.intent(i).hold = 1.0;
    dotted.push_back(static_cast<int>(i));
  }
  if (dotted.size() < 4) return false;
  edit.expect(FindingKind::not_separated, dotted);
  edit.tolerate_each(FindingKind::not_separated, dotted);
  return true;
}

/// The bow stops inside a slur, and goes on in the same direction.
bool gap_in_slur(Edit& edit) {
  const auto i = edit.pick([&](std::size_t k) {
    return edit.intent(k + 1).joined && edit.note(k).duration >= Beats(1, 2);
  });
  if (!i) return false;
  edit.intent(*i + 1).joined = false;
  edit.intent(*i).hold = 0.6;
  edit.expect(FindingKind::gap_in_slur, {static_cast<int>(*i), static_cast<int>(*i) + 1});
  edit.tolerate(FindingKind::short_held, {static_cast<int>(*i)});
  edit.tolerate(FindingKind::slur_not_played, {static_cast<int>(*i), static_cast<int>(*i) + 1});
  return true;
}

/// Every note of a slur in a stroke of its own.
bool slur_not_played(Edit& edit) {
  const auto i =
      edit.pick([&](std::size_t k) { return edit.intent(k + 1).joined && !edit.intent(k).joined; });
  if (!i) return false;
  std::size_t end = *i + 1;
  for (; end < edit.size() && edit.intent(end).joined; ++end) edit.intent(end).joined = false;
  for (std::size_t k = *i; k + 1 < end; ++k) edit.intent(k).hold = 0.88;
  edit.expect(FindingKind::slur_not_played, indices(*i, end));
  edit.tolerate(FindingKind::gap_in_slur, indices(*i, end));
  return true;
}

}  // namespace

bool edit_length(Edit& edit, Fault fault) {
  switch (fault) {
    case Fault::short_held:
      return short_held(edit);
    case Fault::cut_final_note:
      return cut_final(edit);
    case Fault::not_separated:
      return not_separated(edit);
    case Fault::no_dot_played:
      return no_dot_played(edit);
    case Fault::gap_in_slur:
      return gap_in_slur(edit);
    case Fault::slur_not_played:
      return slur_not_played(edit);
    default:
      return false;
  }
}

}  // namespace endpin::simulator
