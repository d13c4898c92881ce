// A few bars, played about twice or half as fast as what stands before and after them.
#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include "quantiles.h"
#include "verdicts/time_findings.h"

namespace endpin::listen {
namespace {

// All ours. A row of steps is another tempo from that ratio on, in the mean, each of its steps
// going the same way, where a few steps before it and after it keep one tempo.
constexpr double least_change = 0.4, most_change = 1.0;  // logarithms: of 1.5 and of 2.7
constexpr double least_step = 0.25, most_step = 1.25;    // of each step
constexpr double around_within = 0.15;
constexpr std::size_t fewest_steps = 3, steps_around = 4;
constexpr double fewest_beats = 1.9, most_beats = 17;

double log_ratio(const Stride& s) { return std::log(s.heard_s / s.written_s); }

struct Row {
  std::size_t from = 0, to = 0;  // strides
  double change = 0;             // logarithm of its pace against that around it
};

// The middle of some steps' logarithms, where most of them lie near to it.
std::optional<double> pace_of(const std::vector<Stride>& strides, std::size_t from,
                              std::size_t to) {
  std::vector<double> logs;
  for (std::size_t i = from; i < to; ++i) logs.push_back(log_ratio(strides[i]));
  const double middle = middle_of(logs);
  const auto strays = [&](double x) { return std::abs(x - middle) > around_within; };
  if (4 * std::count_if(logs.begin(), logs.end(), strays) >
      static_cast<std::ptrdiff_t>(logs.size()))
    return std::nullopt;
  return middle;
}

bool follow_each_other(const std::vector<Stride>& strides, std::size_t from, std::size_t to) {
  for (std::size_t i = from + 1; i < to; ++i) {
    if (strides[i].from != strides[i - 1].to) return false;
  }
  return true;
}

// The row that begins with a step, if there is one.
std::optional<Row> row_from(const TimeVerdicts& verdicts, std::size_t from) {
  const std::vector<Stride>& strides = verdicts.take().strides();
  if (from < steps_around) return std::nullopt;
  const auto before = pace_of(strides, from - steps_around, from);
  if (!before) return std::nullopt;
  const auto change = [&](std::size_t i) { return log_ratio(strides[i]) - *before; };
  const auto may_count = [&](std::size_t i) {
    const double own = change(i);
    return own * change(from) > 0 && std::abs(own) > least_step && std::abs(own) < most_step &&
           is_the_players_own(verdicts, strides[i]);
  };
  std::size_t to = from;
  double sum = 0;
  for (; to < strides.size() && may_count(to); ++to) sum += change(to);
  if (to - from < fewest_steps || to + steps_around > strides.size()) return std::nullopt;
  if (!follow_each_other(strides, from - steps_around, to + steps_around)) return std::nullopt;
  const auto after = pace_of(strides, to, to + steps_around);
  if (!after || std::abs(*after - *before) > around_within) return std::nullopt;
  const double mean = sum / static_cast<double>(to - from);
  if (std::abs(mean) < least_change || std::abs(mean) > most_change) return std::nullopt;
  return Row{from, to, mean};
}

double beats_of(const TakeView& take, const Row& row) {
  const auto& strides = take.strides();
  const Beats from = take.written(strides[row.from].from).onset;
  const Beats to = take.written(strides[row.to - 1].to).onset;
  return (to - from).to_double() / take.timeline().beat_unit.to_double();
}

}  // namespace

void add_other_tempo(TimeVerdicts& verdicts) {
  const TakeView& take = verdicts.take();
  const auto& strides = take.strides();
  for (std::size_t i = 0; i < strides.size(); ++i) {
    const auto row = row_from(verdicts, i);
    if (!row) continue;
    const double beats = beats_of(take, *row);
    if (beats < fewest_beats || beats > most_beats) continue;
    std::vector<int> notes;
    for (std::size_t k = row->from; k < row->to; ++k) notes.push_back(strides[k].from);
    const bool faster = row->change < 0;
    Finding f = take.about(faster ? FindingKind::rushing : FindingKind::dragging, std::move(notes),
                           faster ? "finding.rushing.between" : "finding.dragging.between");
    f.evidence["change_percent"] = 100 * (std::exp(-row->change) - 1);
    verdicts.say(std::move(f), 0.9);
    i = row->to;
  }
}

}  // namespace endpin::listen
