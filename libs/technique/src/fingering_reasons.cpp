#include "fingering_reasons.h"

#include <algorithm>

#include "transitions.h"

namespace endpin::technique {
namespace {

std::string position_key(const Instrument& instrument, const FingeredEvent& event) {
  return std::string(position_of(instrument, event.hand.value_or(1)).key);
}

Sentence shift_reason(std::span<const FingeringEvent> events, const Fingering& fingering,
                      const Instrument& instrument, std::size_t i) {
  const FingeredEvent& before = fingering.events[i - 1];
  const FingeredEvent& here = fingering.events[i];
  Sentence reason{"fingering.shift", {{"position", position_key(instrument, here)}}};
  const Stop& a = before.stops.back();
  const Stop& b = here.stops.back();
  if (passage(events[i - 1], events[i]).rest >= 0.3) {
    reason.key = "fingering.shift-rest";
  } else if (a.finger == 0) {
    reason.key = "fingering.shift-open";
  } else if (a.string == b.string && a.finger == b.finger) {
    reason.key = "fingering.shift-guide";
  }
  return reason;
}

bool fixed(const FingeringEvent& event) {
  return std::any_of(event.notes.begin(), event.notes.end(),
                     [](const FingeringNote& n) { return !n.fixed.empty(); });
}

Sentence reason(std::span<const FingeringEvent> events, const Fingering& fingering,
                const Instrument& instrument, std::size_t i) {
  const FingeredEvent& here = fingering.events[i];
  if (here.stops.empty()) return {"fingering.cannot", {}};
  if (here.fixed_ignored) return {"fingering.fixed-ignored", {}};
  if (fixed(events[i])) return {"fingering.fixed", {}};
  if (shifts_to(fingering, i) && here.stops.back().finger != 0) {
    return shift_reason(events, fingering, instrument, i);
  }
  const Stop& stop = here.stops.back();
  if (stop.finger == 0) return {"fingering.open", {}};
  if (stop.extension != Extension::none) return {"fingering.extension", {}};
  if (stop.finger == 4 && instrument.fourth_finger_or_open && stop.hand == 1 &&
      stop.above_open == 7) {
    return {"fingering.fourth-for-open", {}};
  }
  return {"fingering.in-hand", {{"position", position_key(instrument, here)}}};
}

}  // namespace

bool hand_moves(const FingeredEvent& before, const FingeredEvent& here) {
  return before.hand && here.hand && *before.hand != *here.hand && !before.stops.empty();
}

bool shifts_to(const Fingering& fingering, std::size_t i) {
  return i > 0 && hand_moves(fingering.events[i - 1], fingering.events[i]);
}

std::vector<Sentence> fingering_reasons(std::span<const FingeringEvent> events,
                                        const Fingering& fingering, const Instrument& instrument) {
  std::vector<Sentence> reasons;
  for (std::size_t i = 0; i < events.size(); ++i) {
    reasons.push_back(reason(events, fingering, instrument, i));
  }
  return reasons;
}

}  // namespace endpin::technique
