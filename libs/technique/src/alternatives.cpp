#include <algorithm>
#include <array>
#include <cmath>

#include "endpin/technique/fingering.h"

#include "fingering_reasons.h"

namespace endpin {
namespace {

// Costs that a player of another mind has: each makes one thing dear (ours).
constexpr double dear = 3;  // times what it costs
constexpr double avoided = 4;

using Mind = void (*)(FingeringCosts&);
constexpr std::array<Mind, 5> minds{[](FingeringCosts& c) { c.shift *= dear; },
                                    [](FingeringCosts& c) {
                                      c.crossing *= dear;
                                      c.crossing_in_slur *= dear;
                                      c.crossing_skip *= dear;
                                    },
                                    [](FingeringCosts& c) { c.open_string += avoided; },
                                    [](FingeringCosts& c) { c.fourth_finger += avoided; },
                                    [](FingeringCosts& c) {
                                      c.open_string_long = 0;
                                      c.open_descending = 0;
                                      c.height += 0.2;
                                    }};

// Passages that differ are one if fewer notes than this are alike between them.
constexpr std::size_t alike_between = 3;
constexpr int most_ranks = 3;

struct Run {
  std::size_t from = 0;
  std::size_t to = 0;  // beyond the last
};

std::vector<Run> differences(const Fingering& a, const Fingering& b) {
  std::vector<Run> runs;
  for (std::size_t i = 0; i < a.events.size(); ++i) {
    if (a.events[i].stops == b.events[i].stops) continue;
    if (!runs.empty() && i - runs.back().to < alike_between) {
      runs.back().to = i + 1;
    } else {
      runs.push_back({i, i + 1});
    }
  }
  return runs;
}

FingeringTrade counts(std::span<const FingeredEvent> path) {
  FingeringTrade sum;
  for (std::size_t i = 0; i < path.size(); ++i) {
    for (const Stop& stop : path[i].stops) {
      sum.open_strings += stop.finger == 0;
      sum.fourth_fingers += stop.finger == 4;
      sum.extensions += stop.extension != Extension::none;
      if (stop.finger != 0) sum.position = std::max(sum.position, stop.hand);
    }
    if (i == 0) continue;
    sum.shifts += technique::hand_moves(path[i - 1], path[i]);
    sum.crossings += !path[i].stops.empty() && !path[i - 1].stops.empty() &&
                     path[i].stops.front().string != path[i - 1].stops.front().string;
  }
  return sum;
}

FingeringTrade difference(const FingeringTrade& a, const FingeringTrade& b) {
  return {a.shifts - b.shifts,
          a.crossings - b.crossings,
          a.open_strings - b.open_strings,
          a.fourth_fingers - b.fourth_fingers,
          a.extensions - b.extensions,
          a.position - b.position};
}

class Search {
 public:
  Search(std::span<const FingeringEvent> events, const Instrument& instrument, const Reach& reach,
         const FingeringCosts& costs, std::span<const HouseRule> rules, const Fingering& best)
      : events_(events),
        instrument_(instrument),
        reach_(reach),
        costs_(costs),
        rules_(rules),
        best_(best) {}

  std::vector<FingeringAlternative> all() {
    for (const Mind mind : minds) {
      FingeringCosts costs = costs_;
      mind(costs);
      const Fingering other = finger(events_, instrument_, reach_, costs, rules_);
      for (const Run& run : differences(best_, other)) weigh(run, other);
    }
    return ranked();
  }

 private:
  // The run with a note before and two after it, so that its way in and out counts.
  void weigh(const Run& run, const Fingering& other) {
    const std::size_t begin = run.from > 1 ? run.from - 2 : 0;
    const std::size_t end = std::min(run.to + 1, events_.size());
    std::vector<FingeredEvent> path(best_.events.begin() + static_cast<std::ptrdiff_t>(begin),
                                    best_.events.begin() + static_cast<std::ptrdiff_t>(end));
    const std::vector<FingeredEvent> before = path;
    FingeringAlternative found;
    found.from = run.from;
    found.events.assign(other.events.begin() + static_cast<std::ptrdiff_t>(run.from),
                        other.events.begin() + static_cast<std::ptrdiff_t>(run.to));
    std::copy(found.events.begin(), found.events.end(),
              path.begin() + static_cast<std::ptrdiff_t>(run.from - begin));
    found.trade = difference(counts(path), counts(before));
    found.cost = cost(begin, path) - cost(begin, before);
    if (found.trade.gains()) found_.push_back(std::move(found));
  }

  double cost(std::size_t begin, const std::vector<FingeredEvent>& path) const {
    return fingering_cost(events_.subspan(begin, path.size()), instrument_, reach_, costs_, rules_,
                          path);
  }

  static bool overlap(const FingeringAlternative& a, const FingeringAlternative& b) {
    return a.from < b.from + b.events.size() && b.from < a.from + a.events.size();
  }

  // Two minds often find the same; neighbours here begin at the same note.
  void forget_twins() {
    std::vector<FingeringAlternative> kept;
    for (FingeringAlternative& found : found_) {
      bool twin = false;
      for (auto other = kept.rbegin(); other != kept.rend() && other->from == found.from; ++other) {
        twin |= other->events.size() == found.events.size() && other->trade == found.trade;
      }
      if (!twin) kept.push_back(std::move(found));
    }
    found_ = std::move(kept);
  }

  // The cheaper of two that overlap goes first; a passage keeps its second and third best.
  std::vector<FingeringAlternative> ranked() {
    std::stable_sort(found_.begin(), found_.end(),
                     [](const auto& a, const auto& b) { return a.from < b.from; });
    forget_twins();
    for (std::size_t i = 0; i < found_.size(); ++i) {
      for (std::size_t k = i + 1; k < found_.size() && overlap(found_[i], found_[k]); ++k) {
        ++(found_[i].cost > found_[k].cost ? found_[i] : found_[k]).rank;
      }
    }
    std::erase_if(found_, [](const auto& a) { return a.rank > most_ranks; });
    std::stable_sort(found_.begin(), found_.end(), [](const auto& a, const auto& b) {
      return std::pair(a.from, a.rank) < std::pair(b.from, b.rank);
    });
    return std::move(found_);
  }

  std::span<const FingeringEvent> events_;
  const Instrument& instrument_;
  const Reach& reach_;
  const FingeringCosts& costs_;
  std::span<const HouseRule> rules_;
  const Fingering& best_;
  std::vector<FingeringAlternative> found_;
};

}  // namespace

std::vector<FingeringAlternative> fingering_alternatives(
    std::span<const FingeringEvent> events, const Instrument& instrument, const Reach& reach,
    const FingeringCosts& costs, std::span<const HouseRule> rules, const Fingering& best) {
  if (events.empty()) return {};
  return Search(events, instrument, reach, costs, rules, best).all();
}

}  // namespace endpin
