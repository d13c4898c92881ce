#pragma once

#include <span>

#include "hand_states.h"

namespace endpin::technique {

/// What of the music two neighbouring events leave to a move from one to the other.
struct Passage {
  double seconds = 0.5;  ///< from onset to onset
  double rest = 0;       ///< silence between them
  bool slurred = false;
  bool on_beat = false;
};
Passage passage(const FingeringEvent& from, const FingeringEvent& to);

/// Direction and speed of an event among its neighbours, for house rules.
struct Setting {
  double seconds = 0.5;  ///< that the event sounds
  int direction = 0;     ///< +1: the note before is lower, -1 higher
};

/// Cost of a state by itself.
double own_cost(const HandState& state, const Setting& setting, const Instrument& instrument,
                const FingeringCosts& costs, std::span<const HouseRule> rules);
/// Cost of going from one to another.
double move_cost(const HandState& from, const HandState& to, const Passage& passage,
                 const Instrument& instrument, const FingeringCosts& costs);

}  // namespace endpin::technique
