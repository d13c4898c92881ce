#include "endpin/technique/fingering.h"

#include <algorithm>
#include <limits>
#include <map>

#include "hand_states.h"
#include "transitions.h"

namespace endpin {
namespace {

using technique::HandState;
using technique::Passage;
using technique::Setting;
using technique::StateLists;

Setting setting(std::span<const FingeringEvent> events, std::size_t i) {
  Setting result;
  result.seconds = events[i].sounding.value();
  if (i > 0 && !events[i].notes.empty() && !events[i - 1].notes.empty()) {
    const int step = events[i].notes.back().pitch.midi() - events[i - 1].notes.back().pitch.midi();
    result.direction = (step > 0) - (step < 0);
  }
  return result;
}

FingeringCosts in_force(FingeringCosts costs, const Reach& reach,
                        std::span<const HouseRule> rules) {
  if (!reach.extensions) costs.fourth_finger += costs.learner_fourth_finger;
  for (const HouseRule& rule : rules) {
    if (!rule.cost_name.empty()) set_cost(costs, rule.cost_name, rule.cost_value);
    if (rule.cost_name.empty() && rule.subject == RuleSubject::shifts) {
      costs.shift += rule.force == RuleForce::prefer  ? -1
                     : rule.force == RuleForce::avoid ? 6
                                                      : 500;
    }
  }
  return costs;
}

FingeredEvent choice(const HandState& state) {
  FingeredEvent event;
  event.stops.assign(state.stops.begin(), state.stops.begin() + state.count);
  if (state.knows_hand) event.hand = state.hand;
  event.fixed_ignored = state.fixed_ignored;
  return event;
}

HandState as_state(const FingeredEvent& event, const Instrument& instrument) {
  HandState state;
  state.count = static_cast<int>(event.stops.size());
  std::copy(event.stops.begin(), event.stops.end(), state.stops.begin());
  state.hand = event.hand.value_or(0);
  state.knows_hand = event.hand.has_value();
  state.place = state.knows_hand ? hand_place(instrument, state.hand) : 0;
  state.lowest_string = 4;
  for (const Stop& stop : event.stops) {
    state.lowest_string = std::min(state.lowest_string, stop.string);
    state.highest_string = std::max(state.highest_string, stop.string);
  }
  return state;
}

struct Reached {
  double cost = std::numeric_limits<double>::infinity();
  int from = -1;
};
using Column = std::vector<Reached>;

Column first_column(const std::vector<HandState>& states) {
  Column column(states.size());
  for (std::size_t s = 0; s < states.size(); ++s) column[s].cost = states[s].own_cost;
  return column;
}

Column next_column(const Column& before, const std::vector<HandState>& from,
                   const std::vector<HandState>& to, const Passage& passage,
                   const Instrument& instrument, const FingeringCosts& costs) {
  Column column(to.size());
  for (std::size_t t = 0; t < to.size(); ++t) {
    Reached& best = column[t];
    for (std::size_t f = 0; f < from.size(); ++f) {
      if (before[f].cost >= best.cost) continue;
      const double cost =
          before[f].cost + technique::move_cost(from[f], to[t], passage, instrument, costs);
      if (cost < best.cost) best = {cost, static_cast<int>(f)};
    }
    best.cost += to[t].own_cost;
  }
  return column;
}

void weigh(StateLists& lists, std::span<const FingeringEvent> events, const Instrument& instrument,
           const FingeringCosts& costs, std::span<const HouseRule> rules) {
  for (std::size_t i = 0; i < lists.size(); ++i) {
    const Setting where = setting(events, i);
    for (HandState& state : lists[i]) {
      state.own_cost = technique::own_cost(state, where, instrument, costs, rules);
    }
  }
}

Fingering traced(const StateLists& lists, const std::vector<Column>& columns) {
  Fingering result;
  result.events.resize(lists.size());
  const auto cheapest = [](const Reached& a, const Reached& b) { return a.cost < b.cost; };
  const Column& last = columns.back();
  auto at = std::min_element(last.begin(), last.end(), cheapest) - last.begin();
  result.cost = last[static_cast<std::size_t>(at)].cost;
  for (std::size_t i = lists.size(); i-- > 0;) {
    const Reached& here = columns[i][static_cast<std::size_t>(at)];
    result.events[i] = choice(lists[i][static_cast<std::size_t>(at)]);
    const double before =
        here.from < 0 ? 0 : columns[i - 1][static_cast<std::size_t>(here.from)].cost;
    result.events[i].cost = here.cost - before;
    at = here.from;
  }
  return result;
}

Fingering solved(const StateLists& lists, std::span<const FingeringEvent> events,
                 const Instrument& instrument, const FingeringCosts& costs) {
  std::vector<Column> columns{first_column(lists[0])};
  columns.reserve(lists.size());
  for (std::size_t i = 1; i < lists.size(); ++i) {
    const Passage between = technique::passage(events[i - 1], events[i]);
    columns.push_back(
        next_column(columns.back(), lists[i - 1], lists[i], between, instrument, costs));
  }
  return traced(lists, columns);
}

constexpr std::size_t passage_notes = 4;

// For each event the first one of an equal passage before it; its own place where there is none.
std::vector<std::size_t> first_comings(std::span<const FingeringEvent> events) {
  std::vector<std::size_t> first(events.size());
  for (std::size_t i = 0; i < events.size(); ++i) first[i] = i;
  std::map<std::vector<int>, std::size_t> seen;
  for (std::size_t i = 0; i + passage_notes <= events.size(); ++i) {
    std::vector<int> pitches;
    for (std::size_t k = i; k < i + passage_notes; ++k) {
      for (const FingeringNote& note : events[k].notes) pitches.push_back(note.pitch.midi());
      pitches.push_back(-1);
    }
    const std::size_t before = seen.emplace(std::move(pitches), i).first->second;
    for (std::size_t k = 0; before < i && k < passage_notes; ++k) {
      if (first[i + k] == i + k) first[i + k] = first[before + k];
    }
  }
  return first;
}

bool same_stops(const HandState& state, const FingeredEvent& event) {
  return static_cast<std::size_t>(state.count) == event.stops.size() &&
         (!event.hand || (state.knows_hand && state.hand == *event.hand)) &&
         std::equal(event.stops.begin(), event.stops.end(), state.stops.begin());
}

}  // namespace

Fingering finger(std::span<const FingeringEvent> events, const Instrument& instrument,
                 const Reach& reach, const FingeringCosts& given,
                 std::span<const HouseRule> rules) {
  if (events.empty()) return {};
  const FingeringCosts costs = in_force(given, reach, rules);
  StateLists lists = technique::hand_states(events, instrument, reach);
  weigh(lists, events, instrument, costs, rules);
  return solved(lists, events, instrument, costs);
}

Fingering finger_alike(std::span<const FingeringEvent> events, const Instrument& instrument,
                       const Reach& reach, const FingeringCosts& given,
                       std::span<const HouseRule> rules) {
  if (events.empty()) return {};
  const FingeringCosts costs = in_force(given, reach, rules);
  StateLists lists = technique::hand_states(events, instrument, reach);
  weigh(lists, events, instrument, costs, rules);
  const Fingering plain = solved(lists, events, instrument, costs);
  const std::vector<std::size_t> first = first_comings(events);
  bool returns = false;
  for (std::size_t i = 0; i < events.size(); ++i) {
    if (first[i] == i) continue;
    returns = true;
    for (HandState& state : lists[i]) {
      if (same_stops(state, plain.events[first[i]])) state.own_cost += costs.alike;
    }
  }
  if (!returns) return plain;
  Fingering alike = solved(lists, events, instrument, costs);
  alike.cost = fingering_cost(events, instrument, reach, given, rules, alike.events);
  return alike;
}

double fingering_cost(std::span<const FingeringEvent> events, const Instrument& instrument,
                      const Reach& reach, const FingeringCosts& given,
                      std::span<const HouseRule> rules, std::span<const FingeredEvent> path) {
  const FingeringCosts costs = in_force(given, reach, rules);
  double sum = 0;
  for (std::size_t i = 0; i < path.size(); ++i) {
    const HandState state = as_state(path[i], instrument);
    sum += technique::own_cost(state, setting(events, i), instrument, costs, rules);
    if (i == 0) continue;
    sum += technique::move_cost(as_state(path[i - 1], instrument), state,
                                technique::passage(events[i - 1], events[i]), instrument, costs);
  }
  return sum;
}

std::vector<std::vector<FingeredEvent>> fingering_choices(std::span<const FingeringEvent> events,
                                                          const Instrument& instrument,
                                                          const Reach& reach) {
  std::vector<std::vector<FingeredEvent>> result;
  for (const auto& states : technique::hand_states(events, instrument, reach)) {
    result.emplace_back();
    for (const HandState& state : states) result.back().push_back(choice(state));
  }
  return result;
}

}  // namespace endpin
