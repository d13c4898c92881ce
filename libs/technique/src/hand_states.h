#pragma once

#include <array>
#include <span>
#include <vector>

#include "endpin/technique/fingering.h"

namespace endpin::technique {

/// One way to play an event, as the search sees it.
struct HandState {
  std::array<Stop, 4> stops{};
  int count = 0;  ///< notes; 0: the event cannot be played
  int hand = 0;   ///< place of the hand; 0 with `knows_hand` false: none yet
  bool knows_hand = false;
  double place = 0;       ///< the same in semitones of the first finger
  int lowest_string = 1;  ///< the string nearest to string 1 that sounds
  int highest_string = 1;
  bool fixed_ignored = false;
  double own_cost = 0;

  bool open() const { return count == 1 && stops[0].finger == 0; }
  const Stop& lead() const { return stops[static_cast<std::size_t>(count - 1)]; }
};

using StateLists = std::vector<std::vector<HandState>>;

/// The states of every event: chords as combinations in one hand; open strings once for every hand
/// that a neighbour needs; one state without stops where nothing can be played.
StateLists hand_states(std::span<const FingeringEvent> events, const Instrument& instrument,
                       const Reach& reach);

}  // namespace endpin::technique
