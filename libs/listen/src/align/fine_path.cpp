#include "align/fine_path.h"

#include <algorithm>
#include <cmath>

#include "align/run_search.h"
#include "plain_rhythms.h"

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

// Where a boundary may lie, around the frame that was chosen.
struct Marginal {
  double share = 0;     // of the likelihood within 50 ms of it
  double spread_s = 0;  // standard deviation from it
};

Marginal marginal(const std::vector<float>& log_likelihood, int chosen, double step_s) {
  const float best = *std::max_element(log_likelihood.begin(), log_likelihood.end());
  double all = 0, near = 0, squares = 0;
  const int reach = static_cast<int>(0.05 / step_s);
  for (std::size_t i = 0; i < log_likelihood.size(); ++i) {
    const double share = std::exp(static_cast<double>(log_likelihood[i] - best));
    const int away = static_cast<int>(i) - chosen;
    all += share;
    squares += share * away * away;
    if (std::abs(away) <= reach) near += share;
  }
  if (all <= 0) return {};
  return {near / all, std::sqrt(squares / all) * step_s};
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

// The durations that are written draw a note that is played in another rhythm to where it would
// stand. Each plain rhythm of two notes is a reading of what sounds between their neighbours: the
// best sum of a place's likelihood and of how two notes share their time in it.
class Readings {
 public:
  Readings(const ScoreModel& score, const Observations& seen, std::span<const float> onset_evidence,
           Run& run)
      : score_(score), seen_(seen), onset_evidence_(onset_evidence), run_(run) {}

  /// Moves stages to where another rhythm than the written one is likelier by its cost. Where what
  /// sounds tells the place of itself, the place is as sure as that.
  void compare(std::vector<int>& frames, std::vector<Marginal>& marginals) {
    for (std::size_t k = 1; k + 2 < run_.stages.size(); ++k) {
      const int from = frames[k - 1], to = frames[k + 1];
      if (from < 0 || frames[k] < 0 || to < 0 || marginals[k].share > sure) continue;
      if (run_.stages[k - 1].extra_after || run_.stages[k].extra_after) continue;
      likely_ = beginnings_between(score_, seen_, onset_evidence_, run_, k, from, to);
      const int place = best_place(written_share(k), frames[k] - from);
      const Marginal read = marginal(likely_, place, seen_.sound().step_s);
      if (from + place != frames[k] || read.share > marginals[k].share) marginals[k] = read;
      frames[k] = from + place;
    }
  }

 private:
  static constexpr double sure = 0.95;
  static constexpr double spread = 0.045;  // of shares, as of any player (verdicts/pair_rhythm.cpp)

  struct Reading {
    int place;
    double score;
  };

  double written_share(std::size_t k) const {
    const double first = run_.stages[k - 1].expected_s, second = run_.stages[k].expected_s;
    return first / (first + second);
  }

  Reading read_as(double share) const {
    Reading best{0, static_cast<double>(unreached)};
    const double length = static_cast<double>(likely_.size() - 1);
    for (std::size_t i = 0; i < likely_.size(); ++i) {
      const double z = (static_cast<double>(i) / length - share) / spread;
      const double score = static_cast<double>(likely_[i]) - 0.5 * z * z;
      if (score > best.score) best = {static_cast<int>(i), score};
    }
    return best;
  }

  int best_place(double written, int placed) const {
    const double as_written = read_as(written).score;
    Reading best{placed, as_written + another_rhythm_cost};
    for (const double share : plain_shares) {
      if (!other_rhythm(share, written)) continue;
      const Reading other = read_as(share);
      if (other.score > best.score) best = other;
    }
    return best.place;
  }

  const ScoreModel& score_;
  const Observations& seen_;
  std::span<const float> onset_evidence_;
  Run& run_;
  std::vector<float> likely_;
};

// Much sounds beside what is written, as where others play: then their beginnings lie everywhere.
constexpr double much_beside = 0.3;

std::vector<Fine> read_run(const ScoreModel& score, const Observations& seen,
                           std::span<const float> onset_evidence, Run& run) {
  const double step = seen.sound().step_s;
  const auto& stages = run.stages;
  std::vector<int> frames;
  const float total = best_frames(run, frames);
  std::vector<Marginal> marginals(stages.size());
  for (std::size_t i = 0; i < stages.size(); ++i) {
    if (frames[i] >= 0) marginals[i] = marginal_of(stages[i], frames[i], step);
  }
  const bool reads = seen.uses().durations && seen.uses().readings;
  if (reads && seen.beside() < much_beside)
    Readings(score, seen, onset_evidence, run).compare(frames, marginals);
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
    find_end(score, seen, stages[i].extra_after, fine);
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

std::vector<Fine> fine_path(const ScoreModel& score, const Observations& seen,
                            std::span<const float> onset_evidence, const Path& coarse) {
  std::vector<Fine> result;
  const auto& placed = coarse.placed;
  for (std::size_t from = 0; from < placed.size();) {
    std::size_t to = from + 1;
    while (to < placed.size() && !placed[to].jumped_to && placed[to].event > placed[to - 1].event) {
      ++to;
    }
    Run run = stages_of(score, std::span(placed).subspan(from, to - from), seen.sound().step_s,
                        seen.sound().onset.size());
    search_run(score, seen, onset_evidence, run);
    const auto part = read_run(score, seen, onset_evidence, run);
    result.insert(result.end(), part.begin(), part.end());
    from = to;
  }
  return result;
}

}  // namespace endpin::listen
