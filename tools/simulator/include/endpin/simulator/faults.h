#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "endpin/simulator/plan.h"
#include "endpin/simulator/random.h"

/// Things that go wrong at the instrument, one at a time, each with what ought to be said of it.
namespace endpin::simulator {

enum class Fault {
  missed_note,
  doubled_note,
  neighbour_note,
  wrong_octave,
  forgotten_accidental,
  added_accidental,
  extra_note,
  flat_note,
  sharp_note,
  one_finger_low,
  string_low,
  short_held,
  cut_final_note,
  not_separated,
  gap_in_slur,
  slur_not_played,
  uneven_eighths,
  twin_bar,
  wrong_rhythm,
  early_note,
  late_note,
  late_entry,
  rest_cut_short,
  hesitation,
  rushing,
  dragging,
  restart,
  restart_same_bar,
  skipped_bar,
  repeat_left_out,
  bar_sat_out,
  wrong_notes_in_a_row,
  bar_by_a_step,
  wrong_first_note,
  bar_twice_as_fast,
  bar_half_as_fast,
  held_twice_as_long,
  beat_lost,
  no_dot_played,
  // From here on nothing is wrong that should be said of a note.
  whole_take_flat,
  whole_take_slow,
  start_in_the_middle,
  stop_early,
  open_string_touched,
  scratch,
  slow_attacks,
  held_for_seconds,
  lightly_swung,
};
inline constexpr int fault_kinds = static_cast<int>(Fault::lightly_swung) + 1;
std::string_view name(Fault fault);

/// The plan with one fault at a place of chance, or nothing where the timeline offers none.
/// Findings that ought to come out and those that are true as well are in the plan.
std::optional<Plan> with_fault(const Timeline& timeline, const Plan& plan, Fault fault,
                               Random random);

}  // namespace endpin::simulator
