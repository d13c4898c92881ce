#include <algorithm>
#include <cstdlib>

#include "endpin/simulator/tunes.h"

#include "fault_edits.h"

namespace endpin::simulator {
namespace {

constexpr double low_finger_cents = -42;  // past every verdict's threshold (22 to 35 cents)
constexpr double low_string_cents = -40;

int alteration_in_key(const Edit& edit, std::size_t i) { return edit.note(i).spelled.alter; }

bool play_pitch(Edit& edit, std::optional<std::size_t> i, int by, FindingKind kind) {
  if (!i) return false;
  edit.intent(*i).midi += by;
  edit.intent(*i).finger = 2;
  edit.expect(kind, {static_cast<int>(*i)});
  return true;
}

/// Another pitch than its neighbours', so that it is neither a repeat nor an anticipation.
bool differs_from_neighbours(const Edit& edit, std::size_t i, int midi) {
  return edit.note(i - 1).midi != midi && edit.note(i + 1).midi != midi;
}

bool neighbour(Edit& edit) {
  int by = 0;
  const auto i = edit.pick([&](std::size_t k) {
    const bool long_enough = edit.note(k).duration >= Beats(1, 2);
    return long_enough && (differs_from_neighbours(edit, k, edit.note(k).midi + 2) ||
                           differs_from_neighbours(edit, k, edit.note(k).midi - 2));
  });
  if (i) by = differs_from_neighbours(edit, *i, edit.note(*i).midi + 2) ? 2 : -2;
  return play_pitch(edit, i, by, FindingKind::wrong_note);
}

bool two_in_a_row(Edit& edit) {
  const auto moved = [&](std::size_t k) { return edit.note(k).midi + 2; };
  const auto i = edit.pick([&](std::size_t k) {
    return edit.note(k).duration >= Beats(1, 2) && edit.note(k + 1).duration >= Beats(1, 2) &&
           differs_from_neighbours(edit, k, moved(k)) && moved(k) != moved(k + 1) &&
           differs_from_neighbours(edit, k + 1, moved(k + 1));
  });
  return play_pitch(edit, i, 2, FindingKind::wrong_note) &&
         play_pitch(edit, *i + 1, 2, FindingKind::wrong_note);
}

/// The hand stands a tone too high for a bar.
bool bar_by_a_step(Edit& edit) {
  const auto bar = edit.pick_bar();
  if (!bar) return false;
  const auto notes = indices(bar->first, bar->second);
  if (notes.size() < 3) return false;
  for (const int i : notes) edit.intent(static_cast<std::size_t>(i)).midi += 2;
  edit.expect(FindingKind::wrong_note, notes);
  edit.tolerate_each(FindingKind::wrong_note, notes);
  edit.tolerate_each(FindingKind::missed_accidental, notes);
  return true;
}

bool first_note(Edit& edit) {
  if (edit.size() < 4 || edit.note(0).duration < Beats(1, 2)) return false;
  if (edit.note(1).midi == edit.note(0).midi + 2) return false;
  return play_pitch(edit, 0, 2, FindingKind::wrong_note);
}

bool octave(Edit& edit) {
  const int by = edit.random.chance(0.5) ? 12 : -12;
  const int lowest = open_strings(edit.timeline.instrument).back();
  const auto i = edit.pick([&](std::size_t k) {
    return edit.note(k).duration >= Beats(1, 2) && edit.note(k).midi + by >= lowest;
  });
  return play_pitch(edit, i, by, FindingKind::wrong_note);
}

bool forgotten_accidental(Edit& edit) {
  const auto i = edit.pick([&](std::size_t k) {
    const int natural = edit.note(k).midi - alteration_in_key(edit, k);
    return alteration_in_key(edit, k) != 0 && edit.note(k).duration >= Beats(1, 2) &&
           differs_from_neighbours(edit, k, natural);
  });
  return play_pitch(edit, i, i ? -alteration_in_key(edit, *i) : 0, FindingKind::missed_accidental);
}

bool added_accidental(Edit& edit) {
  const auto i = edit.pick([&](std::size_t k) {
    return alteration_in_key(edit, k) == 0 && edit.note(k).duration >= Beats(1, 2) &&
           differs_from_neighbours(edit, k, edit.note(k).midi + 1);
  });
  return play_pitch(edit, i, 1, FindingKind::wrong_note);
}

bool one_note_off(Edit& edit, double sign, FindingKind kind) {
  const auto i = edit.pick([&](std::size_t k) {
    return edit.intent(k).finger != 0 && edit.note(k).duration >= Beats(1);
  });
  if (!i) return false;
  edit.intent(*i).cents = sign * edit.random.uniform(45, 55);
  edit.intent(*i).cents_are_all = true;  // else it may be right again, or a semitone off
  edit.expect(kind, {static_cast<int>(*i)});
  return true;
}

bool many_low(Edit& edit, const std::vector<int>& notes, double cents, FindingKind kind) {
  for (const int i : notes) edit.intent(static_cast<std::size_t>(i)).cents = cents;
  edit.expect(kind, notes);
  edit.tolerate(FindingKind::flat, notes);
  edit.tolerate(FindingKind::string_out_of_tune, notes);
  return true;
}

bool one_finger_low(Edit& edit) {
  const int finger = edit.random.whole(1, 4);
  std::vector<int> notes;
  for (std::size_t i = 0; i < edit.size(); ++i) {
    if (edit.intent(i).finger == finger) notes.push_back(static_cast<int>(i));
  }
  const bool rare = notes.size() * 3 < edit.size();  // else A4 would rightly follow it
  return notes.size() >= 4 && rare && many_low(edit, notes, low_finger_cents, FindingKind::flat);
}

bool string_low(Edit& edit) {
  const int string = edit.random.whole(1, 4);
  std::vector<int> notes;
  int open = 0;
  for (std::size_t i = 0; i < edit.size(); ++i) {
    if (edit.intent(i).string != string) continue;
    notes.push_back(static_cast<int>(i));
    open += edit.intent(i).finger == 0 ? 1 : 0;
  }
  const bool rare = notes.size() * 5 < edit.size() * 2;
  return notes.size() >= 5 && open >= 2 && rare &&
         many_low(edit, notes, low_string_cents, FindingKind::string_out_of_tune);
}

}  // namespace

bool edit_pitch(Edit& edit, Fault fault) {
  switch (fault) {
    case Fault::neighbour_note:
      return neighbour(edit);
    case Fault::wrong_notes_in_a_row:
      return two_in_a_row(edit);
    case Fault::bar_by_a_step:
      return bar_by_a_step(edit);
    case Fault::wrong_first_note:
      return first_note(edit);
    case Fault::wrong_octave:
      return octave(edit);
    case Fault::forgotten_accidental:
      return forgotten_accidental(edit);
    case Fault::added_accidental:
      return added_accidental(edit);
    case Fault::flat_note:
      return one_note_off(edit, -1, FindingKind::flat);
    case Fault::sharp_note:
      return one_note_off(edit, 1, FindingKind::sharp);
    case Fault::one_finger_low:
      return one_finger_low(edit);
    case Fault::string_low:
      return string_low(edit);
    default:
      return false;
  }
}

}  // namespace endpin::simulator
