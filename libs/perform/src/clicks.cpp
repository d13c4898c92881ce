#include "clicks.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace endpin {
namespace {

// Chosen so as to be heard through a small speaker and beside a child's instrument: above the
// fundamentals of all four instruments, gone in 60 ms.
constexpr double click_hz = 1760;
constexpr double accent_hz = 2637;
constexpr double second_partial = 1.504;
constexpr double decay_s = 0.012;
constexpr double rise_s = 0.0005;
constexpr double length_s = 0.06;
constexpr double click_level = 0.28;
constexpr double accent_level = 0.36;

Beats full_length(const TimelineBar& bar) { return Beats(4 * bar.beats, bar.beat_type); }

// What the click counts in this bar: the timeline's unit where it divides the bar.
Beats unit_in(const Timeline& timeline, const TimelineBar& bar) {
  const Beats unit = timeline.beat_unit > Beats(0) ? timeline.beat_unit : Beats(1);
  return (full_length(bar) / unit).denominator() == 1 ? unit : Beats(4, bar.beat_type);
}

bool is_pickup(const Timeline& timeline, std::size_t bar) {
  return bar == 0 && timeline.bars[0].length < full_length(timeline.bars[0]);
}

void add_beats(std::vector<Beat>& out, Beats from, Beats to, Beats bar_start, Beats unit,
               bool counting) {
  for (Beats at = bar_start; at < to; at += unit) {
    if (at >= from) out.push_back({at, at == bar_start, counting});
  }
}

}  // namespace

std::vector<Beat> count_in(const Timeline& timeline, const ScoreRange& range, int bars) {
  std::vector<Beat> out;
  if (bars <= 0) return out;
  const TimelineBar& first = timeline.bars[range.first_bar];
  const Beats full = full_length(first);
  const Beats unit = unit_in(timeline, first);
  // The bar in which the pickup lies begins before the pickup does.
  const Beats open = is_pickup(timeline, range.first_bar) ? full - first.length : Beats(0);
  const Beats start = range.start - open;
  for (int bar = bars; bar > 0; --bar) {
    const Beats at = start - Beats(bar) * full;
    add_beats(out, at, at + full, at, unit, true);
  }
  add_beats(out, start, range.start, start, unit, true);
  return out;
}

std::vector<Beat> beats(const Timeline& timeline, const ScoreRange& range) {
  std::vector<Beat> out;
  for (std::size_t i = range.first_bar; i <= range.last_bar; ++i) {
    const TimelineBar& bar = timeline.bars[i];
    const Beats end = bar.start + bar.length;
    const Beats counted_from = is_pickup(timeline, i) ? end - full_length(bar) : bar.start;
    add_beats(out, bar.start, end, counted_from, unit_in(timeline, bar), false);
  }
  return out;
}

void add_click(std::span<float> out, Seconds at, bool accented) {
  const auto start = static_cast<std::size_t>(std::lround(at.value() * performance_rate));
  const auto length = static_cast<std::size_t>(length_s * performance_rate);
  const double hz = accented ? accent_hz : click_hz;
  const double level = accented ? accent_level : click_level;
  for (std::size_t i = 0; i < length && start + i < out.size(); ++i) {
    const double t = static_cast<double>(i) / performance_rate;
    const double shape =
        std::min(1.0, t / rise_s) * std::exp(-t / decay_s) * std::min(1.0, (length_s - t) / 0.01);
    const double phase = 2 * std::numbers::pi * hz * t;
    const double wave = 0.7 * std::sin(phase) + 0.3 * std::sin(second_partial * phase);
    out[start + i] += static_cast<float>(level * shape * wave);
  }
}

}  // namespace endpin
