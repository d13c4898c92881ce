#include "endpin/lesson/ladder.h"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "endpin/study/tempo.h"

namespace endpin {
namespace {

constexpr int most_rungs = 5;
constexpr int least_rungs = 3;  // a long piece takes longer, over several days
// Where to start with nothing heard: between 50 and 60 % of the goal (ours).
constexpr double first_share = 0.55;
// Of the runs at a rung some break; a third more time than the clean ones take (ours).
constexpr double time_for_broken_runs = 4.0 / 3;

std::size_t nearest_index(double per_minute) {
  std::size_t best = 0;
  for (std::size_t i = 1; i < metronome_marks().size(); ++i) {
    const auto distance = [&](std::size_t k) {
      return std::abs(std::log(metronome_marks()[k] / per_minute));
    };
    if (distance(i) < distance(best)) best = i;
  }
  return best;
}

// A slow beat is clicked in its parts: an eighth for a quarter, three for a dotted beat.
int parts_of(Beats unit) { return unit.numerator() % 3 == 0 ? 3 : 2; }

// The marks from `first` up to below the goal, evenly spaced on the series, then the goal itself.
std::vector<Rung> rungs_between(double first, double goal, int count) {
  std::vector<Rung> rungs;
  const std::size_t low = nearest_index(first);
  const std::size_t high = nearest_index(goal);
  for (int i = 0; i + 1 < count; ++i) {
    const double share = static_cast<double>(i) / (count - 1);
    const auto index = static_cast<std::size_t>(
        std::lround(static_cast<double>(low) + share * static_cast<double>(high - low)));
    const double mark = metronome_marks()[index];
    if (mark < goal && (rungs.empty() || mark > rungs.back().per_minute)) {
      rungs.push_back({mark, 3, 0});
    }
  }
  rungs.push_back({goal, 3, 0});
  return rungs;
}

void plan_minutes(Ladder& ladder, Beats length, int clean_runs) {
  for (Rung& rung : ladder.rungs) {
    const double quarters_per_minute = rung.per_minute * ladder.beat_unit.to_double();
    rung.clean_runs = clean_runs;
    rung.minutes = clean_runs * time_for_broken_runs * length.to_double() / quarters_per_minute;
  }
}

}  // namespace

int nearest_mark(double per_minute) { return metronome_marks()[nearest_index(per_minute)]; }

double Ladder::minutes() const {
  double sum = 0;
  for (const Rung& rung : rungs) sum += rung.minutes;
  return sum;
}

Ladder plan_ladder(const LadderRequest& request) {
  assert(request.goal_per_minute > 0 && request.length > Beats(0));
  Ladder ladder;
  ladder.beat_unit = request.beat_unit;
  double goal = request.goal_per_minute;
  const bool heard = request.clean_per_minute && *request.clean_per_minute > 0;
  double first = heard ? *request.clean_per_minute : goal * first_share;
  ladder.from_heard = heard;
  if (first < metronome_marks().front()) {
    const int parts = parts_of(request.beat_unit);
    ladder.beat_unit = request.beat_unit / Beats(parts);
    goal *= parts;
    first *= parts;
  }
  first = std::clamp<double>(first, metronome_marks().front(), goal);
  // Fewer clean runs, then fewer rungs, until it fits into the minutes that there are.
  for (int count = most_rungs; count >= least_rungs; --count) {
    for (const int clean_runs : {3, 2}) {
      ladder.rungs = rungs_between(first, goal, count);
      plan_minutes(ladder, request.length, clean_runs);
      if (ladder.minutes() <= request.minutes) return ladder;
    }
  }
  return ladder;
}

}  // namespace endpin
