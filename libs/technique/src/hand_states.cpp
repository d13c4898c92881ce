#include "hand_states.h"

#include <algorithm>
#include <set>

namespace endpin::technique {
namespace {

bool keeps(const Instrument& instrument, const Stop& stop, const FixedStop& fixed) {
  if (fixed.string && *fixed.string != stop.string) return false;
  if (fixed.finger && *fixed.finger != stop.finger) return false;
  if (fixed.position && stop.finger != 0 &&
      position_of(instrument, stop.hand).number != *fixed.position) {
    return false;
  }
  return true;
}

std::vector<Stop> kept(const Instrument& instrument, std::vector<Stop> list,
                       const FixedStop& fixed) {
  std::erase_if(list, [&](const Stop& stop) { return !keeps(instrument, stop, fixed); });
  return list;
}

struct NoteStops {
  std::vector<Stop> list;
  bool fixed_ignored = false;
};

// The node where a natural harmonic is touched lies under a finger as any other place does; the
// written pitch is that of the place or of the sound, and both are fingered alike at the octave.
NoteStops stops_of(const FingeringNote& note, const Instrument& instrument, const Reach& reach) {
  NoteStops result{kept(instrument, stops(instrument, note.pitch, reach), note.fixed)};
  if (!result.list.empty()) return result;
  // What is settled, or a note out of the step's reach, opens the whole instrument.
  const Reach& whole = instrument.reaches.back();
  const std::vector<Stop> all = stops(instrument, note.pitch, whole);
  result.list = kept(instrument, all, note.fixed);
  if (result.list.empty() && !note.fixed.empty()) {
    result.list = all;
    result.fixed_ignored = true;
  }
  return result;
}

void finish(HandState& state, const Instrument& instrument) {
  state.place = state.knows_hand ? hand_place(instrument, state.hand) : 0;
  state.lowest_string = 4;
  state.highest_string = 1;
  for (int i = 0; i < state.count; ++i) {
    state.lowest_string = std::min(state.lowest_string, state.stops[i].string);
    state.highest_string = std::max(state.highest_string, state.stops[i].string);
  }
}

// A chord needs a string for each note, one hand, and a finger for each stopped note; one finger
// may lie across two neighbouring strings at the same place.
bool fits(const HandState& state, const Stop& stop) {
  for (int i = 0; i < state.count; ++i) {
    const Stop& other = state.stops[i];
    if (other.string == stop.string) return false;
    if (other.finger == 0 || stop.finger == 0) continue;
    if (other.hand != stop.hand || other.thumb != stop.thumb) return false;
    const bool barred = other.above_open == stop.above_open;
    if (other.finger == stop.finger && !barred) return false;
    if ((other.finger < stop.finger) != (other.above_open < stop.above_open) && !barred) {
      return other.finger == 5 || stop.finger == 5;
    }
  }
  return true;
}

constexpr std::size_t most_chord_states = 64;

void add_chords(std::vector<HandState>& list, const std::vector<NoteStops>& notes,
                const HandState& begun, std::size_t next) {
  if (next == notes.size()) {
    list.push_back(begun);
    return;
  }
  for (const Stop& stop : notes[next].list) {
    if (list.size() >= most_chord_states || !fits(begun, stop)) continue;
    HandState state = begun;
    state.stops[static_cast<std::size_t>(state.count++)] = stop;
    state.fixed_ignored |= notes[next].fixed_ignored;
    if (stop.finger != 0) {
      state.hand = stop.hand;
      state.knows_hand = true;
    }
    add_chords(list, notes, state, next + 1);
  }
}

std::vector<HandState> own_states(const FingeringEvent& event, const Instrument& instrument,
                                  const Reach& reach) {
  std::vector<HandState> list;
  std::vector<NoteStops> notes;
  for (const FingeringNote& note : event.notes) notes.push_back(stops_of(note, instrument, reach));
  const bool left_open = std::any_of(event.notes.begin(), event.notes.end(),
                                     [](const FingeringNote& note) { return note.left_open; });
  if (!left_open && !notes.empty() && notes.size() <= 4) add_chords(list, notes, HandState{}, 0);
  if (list.empty()) list.emplace_back();
  for (HandState& state : list) finish(state, instrument);
  return list;
}

std::set<int> hands_of(const std::vector<HandState>& states) {
  std::set<int> hands;
  for (const HandState& state : states) {
    if (state.knows_hand) hands.insert(state.hand);
  }
  return hands;
}

// An event that can be played on an open string lets the hands before it through.
void pass(std::set<int>& hands, const std::vector<HandState>& states) {
  const std::set<int> own = hands_of(states);
  if (own.empty()) return;
  const bool open = std::any_of(states.begin(), states.end(),
                                [](const HandState& state) { return !state.knows_hand; });
  if (!open) hands.clear();
  hands.insert(own.begin(), own.end());
}

// Hands that may stand before and after every event.
std::vector<std::set<int>> neighbours(const StateLists& lists) {
  std::vector<std::set<int>> result(lists.size());
  std::set<int> hands;
  for (std::size_t i = 0; i < lists.size(); ++i) {
    result[i] = hands;
    pass(hands, lists[i]);
  }
  hands.clear();
  for (std::size_t i = lists.size(); i-- > 0;) {
    result[i].insert(hands.begin(), hands.end());
    pass(hands, lists[i]);
  }
  return result;
}

// An open string leaves the hand where it is: one copy for each place that it may be in.
void spread_open(std::vector<HandState>& list, const std::set<int>& hands,
                 const Instrument& instrument) {
  std::vector<HandState> spread;
  for (const HandState& state : list) {
    if (state.knows_hand || state.count == 0 || hands.empty()) {
      spread.push_back(state);
      continue;
    }
    for (const int hand : hands) {
      HandState copy = state;
      copy.hand = hand;
      copy.knows_hand = true;
      finish(copy, instrument);
      spread.push_back(copy);
    }
  }
  list = std::move(spread);
}

}  // namespace

StateLists hand_states(std::span<const FingeringEvent> events, const Instrument& instrument,
                       const Reach& reach) {
  StateLists lists;
  lists.reserve(events.size());
  for (const FingeringEvent& event : events) lists.push_back(own_states(event, instrument, reach));
  const std::vector<std::set<int>> hands = neighbours(lists);
  for (std::size_t i = 0; i < lists.size(); ++i) spread_open(lists[i], hands[i], instrument);
  return lists;
}

}  // namespace endpin::technique
