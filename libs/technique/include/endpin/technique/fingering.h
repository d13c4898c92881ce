#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "endpin/base/units.h"
#include "endpin/instrument/instrument.h"
#include "endpin/instrument/stops.h"
#include "endpin/technique/house_rules.h"

/// The best fingering of a row of notes: shortest path over hand states, costs as data
/// (`fingering_costs.def`). Pure functions; no note, score or file.
namespace endpin {

/// The costs of one instrument, by name; `fingering_costs.def` says what each is for.
struct FingeringCosts {
#define COST(name, violin, viola, cello, bass, why) double name = 0;
#include "endpin/technique/fingering_costs.def"
#undef COST
};
FingeringCosts default_fingering_costs(InstrumentKind kind);
/// Sets a cost by its name; false if there is none of that name.
bool set_cost(FingeringCosts& costs, std::string_view name, double value);

/// What is settled about a note before we begin: printed or the teacher's.
struct FixedStop {
  std::optional<int> string;
  std::optional<int> finger;    ///< 0 open, 5 thumb
  std::optional<int> position;  ///< `Position::number`
  bool empty() const { return !string && !finger && !position; }
};

/// One pitch that is to be fingered (sounding).
struct FingeringNote {
  SpelledPitch pitch;
  FixedStop fixed;
  bool harmonic = false;
  bool left_open = false;  ///< no finger is proposed; the hand before and after is free
};

/// Notes that start together: one, or a chord.
struct FingeringEvent {
  std::vector<FingeringNote> notes;  ///< ascending
  Seconds onset;
  Seconds sounding;                  ///< until the last of them ends
  bool slurred_from_before = false;  ///< the bow does not change before it
  bool on_beat = false;
};

/// A way to play an event. `stops` is empty where it cannot be played.
struct FingeredEvent {
  std::vector<Stop> stops;     ///< one a note, in the event's order
  std::optional<int> hand;     ///< where the hand is, for open strings too, where it is known
  double cost = 0;             ///< of this event and of reaching it
  bool fixed_ignored = false;  ///< what was settled cannot be played and was left aside
};

struct Fingering {
  std::vector<FingeredEvent> events;
  double cost = 0;
};

/// The cheapest fingering. O(events · states²); some thirty states an event.
Fingering finger(std::span<const FingeringEvent> events, const Instrument& instrument,
                 const Reach& reach, const FingeringCosts& costs,
                 std::span<const HouseRule> rules = {});

/// The same, and passages that return are fingered alike where it costs little: found by `finger`
/// first, then again with the cost `alike` on their later comings. `Fingering::cost` is without it.
Fingering finger_alike(std::span<const FingeringEvent> events, const Instrument& instrument,
                       const Reach& reach, const FingeringCosts& costs,
                       std::span<const HouseRule> rules = {});

/// What `path` (one choice an event) costs: the sum that `finger` makes smallest.
double fingering_cost(std::span<const FingeringEvent> events, const Instrument& instrument,
                      const Reach& reach, const FingeringCosts& costs,
                      std::span<const HouseRule> rules, std::span<const FingeredEvent> path);
/// What another fingering has more of (above 0) or less of than the proposed one.
struct FingeringTrade {
  int shifts = 0;
  int crossings = 0;
  int open_strings = 0;
  int fourth_fingers = 0;
  int extensions = 0;
  int position = 0;  ///< of the highest hand, as `Stop::hand` counts
  bool gains() const {
    return shifts < 0 || crossings < 0 || open_strings < 0 || fourth_fingers < 0 ||
           extensions < 0 || position < 0;
  }
  bool operator==(const FingeringTrade&) const = default;
};

/// Another way through the events `from`, `from` + 1, …, with the rest as in the best fingering.
struct FingeringAlternative {
  std::size_t from = 0;
  std::vector<FingeredEvent> events;
  double cost = 0;  ///< more than the best fingering, by the same costs
  int rank = 2;     ///< second or third best of its passage
  FingeringTrade trade;
};

/// For every passage where it makes a musical difference, the second and the third best fingering:
/// what `finger` finds when shifts, crossings, open strings, the fourth finger or high places are
/// made dear, as far as it differs from `best` and gains something. Ascending by place, then rank.
std::vector<FingeringAlternative> fingering_alternatives(
    std::span<const FingeringEvent> events, const Instrument& instrument, const Reach& reach,
    const FingeringCosts& costs, std::span<const HouseRule> rules, const Fingering& best);

/// Every choice that `finger` weighs for each event, for oracles and for the teacher's list.
std::vector<std::vector<FingeredEvent>> fingering_choices(std::span<const FingeringEvent> events,
                                                          const Instrument& instrument,
                                                          const Reach& reach);

}  // namespace endpin
