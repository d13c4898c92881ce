#include "transitions.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace endpin::technique {
namespace {

constexpr double letter = 12.0 / 7.0;
// Weights of house rules, far above every cost of ours and below one another.
constexpr double rule_weight = 12;
constexpr double never_weight = 1000;
// Slower than half a second a note is slow, faster than five a second is fast (ours).
constexpr double slow_seconds = 0.5;
constexpr double fast_seconds = 0.2;

// Where the finger lies in its closed hand, in semitones from the hand's place. The thumb lies two
// below the first finger.
double finger_place(const Instrument& instrument, const Stop& stop) {
  if (instrument.count == HandCount::letters) return letter * (stop.finger - 1);
  if (stop.finger == 5) return -2;
  return stop.finger - 1;
}

// Letters above the open string that a stop plays, by finger and hand.
int letters_of(const Stop& stop) {
  if (stop.extension == Extension::forward) return stop.hand + stop.finger;
  if (stop.extension == Extension::backward) return stop.hand - 1;
  return stop.hand + stop.finger - 1;
}

double extension_cost(const Stop& stop, const Instrument& instrument, const FingeringCosts& costs) {
  if (stop.extension == Extension::none) return 0;
  if (instrument.count == HandCount::semitones) return costs.extension;
  const double lies = letter * (stop.hand + stop.finger - 1);
  return costs.extension * std::clamp(std::abs(stop.above_open - lies), 0.8, 3.0);
}

// A finger that plays its letter lies within three quarters of a semitone of the letter's middle:
// low and high places are at home there, a raised first finger at +3 is not.
double bent_cost(const Stop& stop, const Instrument& instrument, const FingeringCosts& costs) {
  if (instrument.count == HandCount::semitones || stop.finger == 0) return 0;
  const double off = std::abs(stop.above_open - letter * letters_of(stop));
  return costs.bent * std::max(0.0, off - 0.75) + (stop.other_letter ? costs.other_letter : 0);
}

// How far a note has time to sing, 0 to 1: from a fifth of a second on.
double singing(double seconds) { return std::clamp(seconds - 0.2, 0.0, 1.0); }

double finger_cost(const Stop& stop, double seconds, const FingeringCosts& costs) {
  const double sings = singing(seconds);
  if (stop.finger == 0) {
    return costs.open_string + costs.open_string_long * sings +
           (stop.string == 1 ? costs.open_highest : 0);
  }
  if (stop.finger == 4) return costs.fourth_finger + costs.fourth_finger_long * sings;
  return stop.finger == 3 ? costs.third_finger : 0;
}

// Thick strings are slow to speak high up: the second string a third, the fourth three times.
double high_cost(const Stop& stop, const FingeringCosts& costs) {
  const int above = std::max(0, stop.above_open - 7);
  const int below = stop.string - 1;
  return costs.high_on_low_string * above * below * below / 3.0;
}

double stop_cost(const Stop& stop, double seconds, const Instrument& instrument,
                 const FingeringCosts& costs) {
  const bool thin = stop.string == 1 && stop.above_open < 5;
  return finger_cost(stop, seconds, costs) + extension_cost(stop, instrument, costs) +
         bent_cost(stop, instrument, costs) + high_cost(stop, costs) +
         (stop.thumb ? costs.thumb : 0) + (thin ? costs.thin * singing(seconds) : 0);
}

double hand_cost(const HandState& state, double seconds, const Instrument& instrument,
                 const FingeringCosts& costs) {
  if (!state.knows_hand) return 0;
  const int number = position_of(instrument, state.hand).number;
  const double above = std::max(0.0, state.place - hand_place(instrument, 1) - 0.01);
  double cost = costs.height * above * (1 + costs.height_sings * singing(seconds));
  if (number == 0) cost += costs.half_position;
  if (number > 0 && number < 8 && number % 2 == 0) cost += costs.even_position;
  return cost;
}

bool applies(RuleWhen when, const Setting& setting) {
  switch (when) {
    case RuleWhen::ascending:
      return setting.direction > 0;
    case RuleWhen::descending:
      return setting.direction < 0;
    case RuleWhen::slow:
      return setting.seconds >= slow_seconds;
    case RuleWhen::fast:
      return setting.seconds <= fast_seconds;
    case RuleWhen::always:
      break;
  }
  return true;
}

bool concerns(const HouseRule& rule, const Stop& stop, const HandState& state,
              const Instrument& instrument) {
  switch (rule.subject) {
    case RuleSubject::open_strings:
      return stop.finger == 0;
    case RuleSubject::finger:
      return stop.finger == rule.number;
    case RuleSubject::string:
      return stop.string == rule.number;
    case RuleSubject::extensions:
      return stop.extension != Extension::none;
    case RuleSubject::position:
      return stop.finger != 0 && position_of(instrument, state.hand).number == rule.number;
    case RuleSubject::shifts:
      break;  // weighed between two notes
  }
  return false;
}

double force_weight(RuleForce force) {
  switch (force) {
    case RuleForce::prefer:
      return -rule_weight;
    case RuleForce::avoid:
      return rule_weight;
    case RuleForce::never:
      break;
  }
  return never_weight;
}

double rules_cost(const HandState& state, const Setting& setting, const Instrument& instrument,
                  std::span<const HouseRule> rules) {
  double cost = 0;
  for (const HouseRule& rule : rules) {
    if (!rule.cost_name.empty() || !applies(rule.when, setting)) continue;
    for (int i = 0; i < state.count; ++i) {
      if (concerns(rule, state.stops[i], state, instrument)) cost += force_weight(rule.force);
    }
  }
  return cost;
}

// 1 at half a second, `1 + hurry` at a tenth, less where there is time.
double haste(double seconds, double hurry) {
  const double clipped = std::clamp(seconds, 0.06, 2.0);
  return std::max(0.65, 1 + hurry * (0.5 - clipped) / 0.4);
}

double shift_cost(const HandState& from, const HandState& to, const Passage& passage,
                  const FingeringCosts& costs) {
  const double distance = std::abs(to.place - from.place);
  double cost = costs.shift + costs.shift_distance * distance;
  const Stop& a = from.lead();
  const Stop& b = to.lead();
  const bool same_string = a.string == b.string;
  if (from.open()) {
    cost += costs.shift_after_open;
  } else if (same_string && a.finger == b.finger) {
    cost += costs.shift_same_finger;
    if (std::abs(a.above_open - b.above_open) == 1) cost += costs.shift_half_step;
  }
  if (!same_string && !from.open()) cost += costs.shift_crossing;
  if (passage.slurred && !from.open()) cost += costs.shift_in_slur;
  if (passage.rest >= 0.3) cost += costs.shift_in_rest;
  if (passage.on_beat) cost += costs.shift_on_beat;
  return std::max(0.3, cost * haste(passage.seconds, costs.shift_hurry));
}

double crossing_cost(const HandState& from, const HandState& to, const Passage& passage,
                     const FingeringCosts& costs) {
  int strings = 0;
  if (to.lowest_string > from.highest_string) strings = to.lowest_string - from.highest_string;
  if (from.lowest_string > to.highest_string) strings = from.lowest_string - to.highest_string;
  if (strings == 0) return 0;
  const double quick = passage.seconds < fast_seconds ? 1.3 : 1.0;
  return quick * (costs.crossing + (passage.slurred ? costs.crossing_in_slur : 0)) +
         costs.crossing_skip * (strings - 1);
}

double same_finger_cost(const Stop& a, const Stop& b, const FingeringCosts& costs) {
  if (a.string != b.string) {
    if (a.above_open == b.above_open) return costs.same_finger_fifth;
    return costs.same_finger_cross;
  }
  if (a.above_open == b.above_open) return 0;
  // Stretching for it is paid for already.
  if (a.extension != b.extension) return 0;
  return costs.same_finger_slide +
         (a.other_letter != b.other_letter ? costs.same_finger_letter : 0);
}

// Two fingers of one hand: further apart or closer than they lie when the hand is at rest. In high
// places a semitone is small, and fingers reach further.
double spread_cost(const Stop& a, const Stop& b, double place, const Instrument& instrument,
                   const FingeringCosts& costs) {
  const double lies = std::abs(finger_place(instrument, a) - finger_place(instrument, b));
  const double asked = (b.above_open - a.above_open) * (b.finger > a.finger ? 1 : -1);
  const double room = instrument.count == HandCount::letters ? 1.0 : 0.01;
  const double eased = std::exp2(-std::max(0.0, place - 2) / 12.0);
  if (asked > lies + room) return costs.stretch * (asked - lies - room) * eased;
  if (asked < lies - room) return costs.squeeze * (lies - room - asked);
  return 0;
}

double in_hand_cost(const HandState& from, const HandState& to, const Instrument& instrument,
                    const FingeringCosts& costs) {
  double cost = 0;
  const Stop& a = from.lead();
  const Stop& b = to.lead();
  if (a.finger == 0 && b.string == a.string + 1 && b.above_open < 7) return costs.open_descending;
  if (a.finger == 0 || b.finger == 0) return 0;
  if (a.finger == b.finger) return same_finger_cost(a, b, costs);
  if (instrument.count == HandCount::letters) {
    const bool stretched = a.extension != Extension::none || b.extension != Extension::none;
    if (!stretched) cost += spread_cost(a, b, from.place, instrument, costs);
  } else if (a.frame != b.frame) {
    cost += costs.frame_change;
  }
  return cost;
}

double chord_cost(const HandState& state, const FingeringCosts& costs) {
  const int between = state.highest_string - state.lowest_string - (state.count - 1);
  return state.count > 1 ? costs.chord_spread * std::max(0, between) : 0;
}

}  // namespace

Passage passage(const FingeringEvent& from, const FingeringEvent& to) {
  Passage result;
  result.seconds = (to.onset - from.onset).value();
  result.rest = std::max(0.0, (to.onset - from.onset - from.sounding).value());
  result.slurred = to.slurred_from_before;
  result.on_beat = to.on_beat;
  return result;
}

double own_cost(const HandState& state, const Setting& setting, const Instrument& instrument,
                const FingeringCosts& costs, std::span<const HouseRule> rules) {
  double cost = hand_cost(state, setting.seconds, instrument, costs) + chord_cost(state, costs);
  for (int i = 0; i < state.count; ++i)
    cost += stop_cost(state.stops[i], setting.seconds, instrument, costs);
  if (!rules.empty()) cost += rules_cost(state, setting, instrument, rules);
  return cost;
}

double move_cost(const HandState& from, const HandState& to, const Passage& passage,
                 const Instrument& instrument, const FingeringCosts& costs) {
  if (from.count == 0 || to.count == 0) return 0;
  double cost = crossing_cost(from, to, passage, costs);
  const bool both = from.knows_hand && to.knows_hand;
  if (both && from.hand != to.hand) return cost + shift_cost(from, to, passage, costs);
  return cost + in_hand_cost(from, to, instrument, costs);
}

}  // namespace endpin::technique
