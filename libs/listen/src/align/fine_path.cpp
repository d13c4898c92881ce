#include "align/fine_path.h"

#include <algorithm>
#include <cmath>

#include "align/readings.h"
#include "align/run_search.h"

namespace endpin::listen {
namespace {

// Until when the event's notes sound, or another tone in their place, before the gap to the next.
void find_usual_end(const Event& e, const Observations& seen, Fine& fine) {
  const double step = seen.step_s();
  const std::size_t from = static_cast<std::size_t>(fine.onset_s / step);
  const std::size_t to = std::min(seen.frames(), static_cast<std::size_t>(fine.next_s / step));
  constexpr float per_frame = 4;  // frames that count for one here
  float gap_left = 0;
  for (std::size_t f = from; f < to; ++f) gap_left += seen.gap(f);
  float playing = 0, other = -other_cost * per_frame, best = unreached;
  std::size_t at = from;
  for (std::size_t f = from; f < to; ++f) {
    playing += seen.playing(e, f);
    other += seen.other(f);
    gap_left -= seen.gap(f);
    const float rest = gap_left - (f + 1 < to ? gap_cost * per_frame : 0);
    const float total = std::max(playing, other) + rest;
    if (f == from || total >= best) {
      best = total, at = f + 1;
      fine.another_tone = other > playing;
    }
  }
  // An end is only one where it grows quiet: else something went on, and the end is not known.
  std::size_t silent = 0;
  for (std::size_t f = at; f < to; ++f) silent += seen.quiet(f) || seen.ringing(f);
  if (!fine.another_tone && silent * 10 < (to - std::min(at, to)) * 6) at = to;
  fine.sounds_until_s = at >= to ? fine.next_s : static_cast<double>(at) * step;
}

// The same where playing that the score does not tell comes after it: then what follows is no
// doubt about the end.
void find_end_before_extra(const Event& e, const Observations& seen, Fine& fine) {
  const double step = seen.step_s();
  const std::size_t from = static_cast<std::size_t>(fine.onset_s / step);
  const std::size_t to = std::min(seen.frames(), static_cast<std::size_t>(fine.next_s / step));
  float ahead = 0, best = 0;
  std::size_t at = std::min(to, from + 1);
  for (std::size_t f = from; f < to; ++f) {
    ahead += seen.playing(e, f) - std::max(seen.other(f), seen.gap(f));
    if (ahead > best) best = ahead, at = f + 1;
  }
  fine.sounds_until_s = static_cast<double>(at) * step;
}

// A note that sounds from the first frame on began there, or before.
void begin_with_recording(const Observations& seen, Fine& first) {
  constexpr double at_once_s = 0.05;  // ours: a beginning grows for as long
  if (first.left_out || first.onset_s > at_once_s) return;
  const std::size_t until = static_cast<std::size_t>(first.onset_s / seen.step_s());
  for (std::size_t f = 0; f <= until; ++f) {
    if (seen.quiet(f)) return;
  }
  first.onset_s = 0;
}

Marginal marginal_of(const Stage& s, int chosen, double step_s) {
  std::vector<float> with(s.forward);
  for (std::size_t i = 0; i < with.size(); ++i) with[i] += s.backward[i];
  return marginal(with, chosen - s.from, step_s);
}

// The best way's frames, −1 for a stage left out, and its score.
float best_frames(const Run& run, std::vector<int>& frames) {
  const auto& stages = run.stages;
  frames.assign(stages.size(), -1);
  std::size_t k = stages.size() - 1;
  int frame = stages.back().from;
  float total = unreached;
  for (int i = 0; i < stages.back().size(); ++i) {
    if (stages.back().forward[static_cast<std::size_t>(i)] > total) {
      total = stages.back().forward[static_cast<std::size_t>(i)];
      frame = stages.back().from + i;
    }
  }
  while (true) {
    frames[k] = frame;
    if (k == 0) break;
    const std::size_t i = static_cast<std::size_t>(frame - stages[k].from);
    const int before = stages[k].best_before[i];
    if (before < 0) break;
    const std::size_t back = stages[k].over[i] ? 2 : 1;
    if (back > k) break;
    k -= back;
    frame = before;
  }
  return total;
}

std::vector<Fine> read_run(const ScoreModel& score, const Observations& seen, Run& run) {
  const double step = seen.sound().step_s;
  const auto& stages = run.stages;
  std::vector<int> frames;
  float total = best_frames(run, frames);
  const bool reads = seen.uses().durations && seen.uses().readings && seen.beside() < much_beside;
  Readings readings(score, seen, run);
  if (reads && readings.expect_others(frames, total)) total = best_frames(run, frames);
  std::vector<Marginal> marginals(stages.size());
  for (std::size_t i = 0; i < stages.size(); ++i) {
    if (frames[i] >= 0) marginals[i] = marginal_of(stages[i], frames[i], step);
  }
  if (reads) readings.compare(frames, marginals);
  std::vector<Fine> out;
  for (std::size_t i = 0; i + 1 < stages.size(); ++i) {
    Fine fine;
    fine.event = stages[i].event;
    fine.left_out = frames[i] < 0;
    std::size_t next = i + 1;
    while (next + 1 < stages.size() && frames[next] < 0) ++next;
    fine.next_s = frames[next] >= 0 ? frames[next] * step : stages[next].guess_s;
    fine.onset_s = fine.left_out ? std::min(stages[i].guess_s, fine.next_s) : frames[i] * step;
    fine.jumped_to = i == 0 && run.jumped_to;
    fine.extra_before = i == 0 ? run.extra_before : stages[i - 1].extra_after;
    float with = unreached;
    for (int j = 0; j < stages[i].size(); ++j) {
      const std::size_t jj = static_cast<std::size_t>(j);
      with = std::max(with, stages[i].forward[jj] + stages[i].backward[jj]);
    }
    fine.left_out_margin = static_cast<double>(with - total);
    fine.onset_share = marginals[i].share;
    fine.onset_spread_s = marginals[i].spread_s;
    out.push_back(fine);
  }
  return out;
}

}  // namespace

void find_end(const ScoreModel& score, const Observations& seen, bool extra_after, Fine& fine) {
  const Event& e = score.events[static_cast<std::size_t>(fine.event)];
  if (extra_after) {
    find_end_before_extra(e, seen, fine);
  } else {
    find_usual_end(e, seen, fine);
  }
}

void find_ends(const ScoreModel& score, const Observations& seen, std::vector<Fine>& events) {
  for (std::size_t i = 0; i < events.size(); ++i) {
    const bool goes_on = i + 1 < events.size() && !events[i + 1].jumped_to;
    find_end(score, seen, goes_on && events[i + 1].extra_before, events[i]);
  }
}

std::vector<Fine> fine_path(const ScoreModel& score, const Observations& seen, const Path& coarse) {
  std::vector<Fine> result;
  const auto& placed = coarse.placed;
  for (std::size_t from = 0; from < placed.size();) {
    std::size_t to = from + 1;
    while (to < placed.size() && !placed[to].jumped_to && placed[to].event > placed[to - 1].event) {
      ++to;
    }
    Run run = stages_of(score, std::span(placed).subspan(from, to - from), seen.sound().step_s,
                        seen.sound().onset.size());
    search_run(score, seen, run);
    const auto part = read_run(score, seen, run);
    result.insert(result.end(), part.begin(), part.end());
    from = to;
  }
  if (!result.empty()) begin_with_recording(seen, result.front());
  return result;
}

}  // namespace endpin::listen
