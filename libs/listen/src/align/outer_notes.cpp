#include "align/outer_notes.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <optional>
#include <vector>

#include "quantiles.h"

namespace endpin::listen {
namespace {

// All ours. A run of less than three clear notes is dropped (doubtful_runs.cpp), so that at the end
// two right ones may be missing beside the wrong one.
constexpr int most_before = 2, most_after = 3;
constexpr std::size_t pace_from = 8, fewest_for_pace = 4;
constexpr double strays = 0.3;  // of its length, from where it is due
constexpr float least_stroke = 0.5F;
constexpr double steady_share = 0.6, shortest_s = 0.12, settles_s = 0.04;
constexpr float least_salience = 0.2F;

// Notes of one item in a row, in `placed`.
struct Row {
  std::size_t from, to;
};

class OuterNotes {
 public:
  OuterNotes(const ScoreModel& score, const Observations& seen, std::vector<Placed>& placed)
      : score_(score), seen_(seen), placed_(placed) {}

  void add() {
    for (Row row{0, 0}; row.from < placed_.size(); row.from = row.to) {
      row.to = row.from + 1;
      while (row.to < placed_.size() && item(row.to) == item(row.from)) ++row.to;
      row.to += add_before(row);
      row.to += add_after(row);
    }
  }

 private:
  const Event& event(int k) const { return score_.events[static_cast<std::size_t>(k)]; }
  int item(std::size_t i) const { return event(placed_[i].event).item; }
  double take_end_s() const { return static_cast<double>(seen_.frames()) * seen_.step_s(); }

  // Real over written time between some placed notes that follow each other.
  std::optional<double> pace_of(std::size_t from, std::size_t to) const {
    std::vector<double> paces;
    for (std::size_t i = from + 1; i < to; ++i) {
      const Placed &a = placed_[i - 1], &b = placed_[i];
      if (b.jumped_to || b.extra_before || b.event != a.event + 1) continue;
      paces.push_back((b.onset_s - a.onset_s) / event(a.event).seconds);
    }
    if (paces.size() < fewest_for_pace) return std::nullopt;
    return middle_of(std::move(paces));
  }

  // Where a stroke is strongest around a moment, if there is one.
  std::optional<double> beginning_near(double at_s, double length_s) const {
    const auto& onset = seen_.sound().onset_evidence;
    const double step = seen_.sound().step_s;
    const double from_s = at_s - strays * length_s, to_s = at_s + strays * length_s;
    if (from_s < 0 || to_s >= take_end_s()) return std::nullopt;
    const auto from = onset.begin() + static_cast<std::ptrdiff_t>(from_s / step);
    const auto to = onset.begin() + static_cast<std::ptrdiff_t>(to_s / step);
    const auto strongest = std::max_element(from, std::min(to, onset.end()));
    if (strongest == onset.end() || *strongest < least_stroke) return std::nullopt;
    return static_cast<double>(strongest - onset.begin()) * step;
  }

  // One pitch stands out for most of the time between, as it does in no speech.
  bool is_steady(double from_s, double to_s) const {
    if (to_s - from_s < shortest_s) return false;
    const auto from = static_cast<std::size_t>((from_s + settles_s) / seen_.step_s());
    const auto to = std::min(seen_.frames(), static_cast<std::size_t>(to_s / seen_.step_s()));
    std::vector<std::size_t> frames_of(static_cast<std::size_t>(seen_.pitch().highest() + 1));
    std::size_t most = 0;
    for (std::size_t f = from; f < to; ++f) {
      if (seen_.quiet(f) || seen_.pitch().best(f) < least_salience) continue;
      most = std::max(most, ++frames_of[static_cast<std::size_t>(seen_.pitch().best_midi(f))]);
    }
    return static_cast<double>(most) > steady_share * static_cast<double>(to - from);
  }

  bool sounds(int k, double from_s, double pace) const {
    return is_steady(from_s, from_s + 0.9 * pace * event(k).sounding_seconds);
  }

  std::size_t add_before(Row row) {
    const auto pace = pace_of(row.from, std::min(row.to, row.from + pace_from));
    const double free_from_s = row.from > 0 ? placed_[row.from - 1].end_s : 0;
    std::vector<Placed> added;
    double next_s = placed_[row.from].onset_s;
    for (int k = placed_[row.from].event; pace && !event(k).first;) {
      --k;
      if (!event(k).open_to_play || static_cast<int>(added.size()) == most_before) return 0;
      const double length_s = *pace * event(k).seconds;
      const auto at = beginning_near(next_s - length_s, length_s);
      if (!at || *at < free_from_s || !sounds(k, *at, *pace)) return 0;
      added.push_back({k, *at, next_s});
      next_s = *at;
    }
    if (added.empty()) return 0;
    std::reverse(added.begin(), added.end());
    added.front().jumped_to = placed_[row.from].jumped_to;
    placed_[row.from].jumped_to = false;
    placed_.insert(at(row.from), added.begin(), added.end());
    return added.size();
  }

  std::size_t add_after(Row row) {
    const auto pace = pace_of(row.to - std::min(row.to - row.from, pace_from), row.to);
    const double free_to_s = row.to < placed_.size() ? placed_[row.to].onset_s : take_end_s();
    Placed& last = placed_[row.to - 1];
    std::vector<Placed> added;
    double before_s = last.onset_s;
    for (int k = last.event; pace && !event(k).last; ++k) {
      if (!event(k + 1).open_to_play || static_cast<int>(added.size()) == most_after) return 0;
      const double length_s = *pace * event(k).seconds;
      const auto at = beginning_near(before_s + length_s, length_s);
      if (!at || !sounds(k + 1, *at, *pace)) return 0;
      const double end_s = *at + *pace * event(k + 1).seconds;
      if (end_s > free_to_s + strays * length_s) return 0;
      added.push_back({k + 1, *at, std::min(end_s, free_to_s)});
      if (added.size() > 1) added[added.size() - 2].end_s = *at;
      before_s = *at;
    }
    if (added.empty()) return 0;
    last.end_s = added.front().onset_s;
    placed_.insert(at(row.to), added.begin(), added.end());
    return added.size();
  }

  std::vector<Placed>::iterator at(std::size_t i) {
    return placed_.begin() + static_cast<std::ptrdiff_t>(i);
  }

  const ScoreModel& score_;
  const Observations& seen_;
  std::vector<Placed>& placed_;
};

}  // namespace

void reach_outer_notes(const ScoreModel& score, const Observations& seen, Path& path) {
  OuterNotes(score, seen, path.placed).add();
}

}  // namespace endpin::listen
