#include "endpin/study/tempo.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace endpin {
namespace {

// The traditional series.
constexpr std::array<int, 39> marks{
    40, 42,  44,  46,  48,  50,  52,  54,  56,  58,  60,  63,  66,  69,  72,  76,  80,  84,  88, 92,
    96, 100, 104, 108, 112, 116, 120, 126, 132, 138, 144, 152, 160, 168, 176, 184, 192, 200, 208};

std::size_t index_at_or_below(double per_minute) {
  const auto above = std::upper_bound(marks.begin(), marks.end(), per_minute + 1e-6,
                                      [](double value, int mark) { return value < mark; });
  return above == marks.begin() ? 0 : static_cast<std::size_t>(above - marks.begin()) - 1;
}

// Notes a second in the densest bar that a proposal allows at each step (ours: eighths at a quarter
// of 60–69 for the first position, by public curricula).
struct Pace {
  std::string_view step;
  double notes_per_second;
};
constexpr Pace paces[] = {{"open-strings", 1.0},    {"first-position", 2.2},
                          {"slurs", 2.4},           {"extensions", 2.7},
                          {"lower-positions", 3.3}, {"neck-positions", 4.5},
                          {"upper-positions", 6.0}, {"thumb", 8.0}};
constexpr double slowest_proposal = 50;
constexpr double fastest_proposal = 112;

double pace(std::string_view step) {
  for (const Pace& p : paces) {
    if (p.step == step) return p.notes_per_second;
  }
  return paces[1].notes_per_second;
}

// Notes a beat in the densest bar.
double density(const Timeline& timeline) {
  double most = 0;
  std::size_t note = 0;
  for (const TimelineBar& bar : timeline.bars) {
    int count = 0;
    for (; note < timeline.notes.size() && timeline.notes[note].onset < bar.start + bar.length;
         ++note) {
      ++count;
    }
    if (bar.length > Beats(0))
      most = std::max(most, count / (bar.length / timeline.beat_unit).to_double());
  }
  return most;
}

}  // namespace

std::span<const int> metronome_marks() { return marks; }

int mark_at_or_below(double per_minute) { return marks[index_at_or_below(per_minute)]; }

int mark_steps_from(int mark, int steps) {
  const int index = static_cast<int>(index_at_or_below(mark)) + steps;
  return marks[static_cast<std::size_t>(std::clamp(index, 0, static_cast<int>(marks.size()) - 1))];
}

std::vector<int> ladder(int target, int rungs, double start) {
  const int top = static_cast<int>(index_at_or_below(target));
  const int bottom = std::min(top, static_cast<int>(index_at_or_below(start * target)));
  const int count = std::clamp(top - bottom + 1, 1, std::max(1, rungs));
  std::vector<int> result;
  for (int i = 0; i < count; ++i) {
    const double along = count == 1 ? 1 : static_cast<double>(i) / (count - 1);
    const auto index = static_cast<std::size_t>(std::lround(bottom + along * (top - bottom)));
    result.push_back(marks[index]);
  }
  // A printed tempo between two marks is the last rung as it is.
  result.back() = target;
  return result;
}

TempoPlan plan_tempo(const Timeline& timeline, std::string_view step) {
  TempoPlan plan;
  plan.beat_unit = timeline.beat_unit;
  const double unit = timeline.beat_unit.to_double();
  plan.from_score = timeline.tempo_is_given;
  if (plan.from_score) {
    const double target = timeline.tempo.tempo_at(Beats(0)).value() / unit;
    plan.target = std::max(1, static_cast<int>(std::lround(target)));
  } else {
    const double dense = std::max(0.25, density(timeline));
    plan.target =
        mark_at_or_below(std::clamp(60 * pace(step) / dense, slowest_proposal, fastest_proposal));
  }
  plan.ladder = ladder(plan.target);
  return plan;
}

}  // namespace endpin
