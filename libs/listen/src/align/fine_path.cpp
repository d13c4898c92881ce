#include "align/fine_path.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace endpin::listen {
namespace {

constexpr float fine_frame_weight = 0.125F;  // half of the coarse pass's: twice the frames
constexpr float gap_cost = 1.0F, other_cost = 5.0F, left_out_cost = 7.0F;
constexpr float duration_spread = 0.13F, degrees = 3;
constexpr double narrowest_s = 0.11, widest_s = 0.35;
constexpr double shortest_note_s = 0.03;
constexpr std::size_t settling_frames = 30;  // 150 ms in which what was before may ring on
// Log likelihood of a beginning by the rise of the note's own comb: fitted on simulated rooms.
constexpr float own_rise_weight = 8, own_rise_usual = 0.35F, own_rise_worst = -1;
constexpr float none = -std::numeric_limits<float>::infinity();
constexpr float beam = 30;

// One event of a run with the frames in which it may begin.
struct Stage {
  int event = 0;
  double guess_s = 0;
  double expected_s = 0;  // to the next event
  bool extra_after = false;
  bool fixed = false;    // the end of the run
  int from = 0, to = 0;  // frames, inclusive
  std::vector<float> forward, backward;
  std::vector<int> best_before;     // frame of the stage before
  std::vector<unsigned char> over;  // reached over a stage left out
  int size() const { return to - from + 1; }
};

float student_log(float z2) { return -0.5F * (degrees + 1) * std::log1p(z2 / degrees); }

struct Run {
  std::vector<Stage> stages;  // the last stands for the end
  bool jumped_to = false, extra_before = false;
};

class RunSearch {
 public:
  RunSearch(const ScoreModel& score, const Observations& seen, std::span<const float> onset,
            Run& run)
      : score_(score), seen_(seen), onset_(onset), run_(run) {}

  void solve() {
    auto& stages = run_.stages;
    for (Stage& s : stages) {
      const std::size_t n = static_cast<std::size_t>(s.size());
      s.forward.assign(n, none);
      s.backward.assign(n, none);
      s.best_before.assign(n, -1);
      s.over.assign(n, 0);
    }
    std::fill(stages.front().forward.begin(), stages.front().forward.end(), 0.0F);
    add_onsets(stages.front());
    for (std::size_t k = 0; k + 1 < stages.size(); ++k) pass(k, true);
    std::fill(stages.back().backward.begin(), stages.back().backward.end(), 0.0F);
    for (std::size_t k = stages.size() - 1; k-- > 0;) pass(k, false);
  }

 private:
  const Event& event(const Stage& s) const {
    return score_.events[static_cast<std::size_t>(s.event)];
  }

  float onset_at(const Stage& s, int frame) const {
    if (s.fixed) return 0;
    const float strength =
        onset_[static_cast<std::size_t>(std::clamp(frame, 0, static_cast<int>(onset_.size()) - 1))];
    const Event& e = event(s);
    const float any = e.slurred || e.ornamented ? std::max(-0.7F, 0.6F * strength) : strength;
    return any + (e.repeated ? 0.0F : own_rise(e, frame));
  }

  // A note that begins makes its own partials grow, also where another rings or plays on.
  float own_rise(const Event& e, int frame) const {
    const PitchEvidence& pitch = seen_.pitch();
    const std::size_t last = seen_.frames() - 1;
    const std::size_t f = std::min(last, static_cast<std::size_t>(std::max(0, frame)) / 2);
    const std::size_t g = std::min(last, f + static_cast<std::size_t>(frame % 2));
    float rise = -1;
    for (const int p : e.pitches) {
      rise = std::max(rise, 0.5F * (pitch.rise(f, p) + pitch.rise(g, p)));
    }
    return std::max(own_rise_worst, own_rise_weight * (rise - own_rise_usual));
  }

  void add_onsets(Stage& s) {
    for (int i = 0; i < s.size(); ++i) {
      s.forward[static_cast<std::size_t>(i)] += onset_at(s, s.from + i);
    }
  }

  float duration_score(const Stage& from, double expected, int frames) const {
    if (from.extra_after) return -2;
    const float seconds = static_cast<float>(frames * seen_.sound().step_s);
    const float ratio = std::log(seconds / static_cast<float>(expected));
    const Event& e = event(from);
    const float jitter = 0.012F / seconds;
    const float loose = e.fermata || e.last ? 0.5F : 0.0F;
    const float variance = duration_spread * duration_spread + jitter * jitter + loose * loose;
    // Less than 40 % of its time is no note played short but no note: its next came too soon.
    const float sliver = std::max(0.0F, -0.9F - ratio);
    return student_log(ratio * ratio / variance) - 8 * sliver;
  }

  // Frame scores of an event between two frames as prefix sums; `before` may ring into its
  // beginning.
  void sum_frames(const Stage& from, int first, int last, const Event* before) {
    const std::size_t n = static_cast<std::size_t>(last - first) + 1;
    playing_.assign(n, 0);
    gap_.assign(n, 0);
    other_.assign(n, 0);
    begun_.assign(n, 0);
    const Event& e = event(from);
    const std::size_t frames = seen_.frames();
    for (std::size_t i = 0; i + 1 < n; ++i) {
      const std::size_t f = std::min(frames - 1, static_cast<std::size_t>(first) / 2 +
                                                     (i + static_cast<std::size_t>(first % 2)) / 2);
      playing_[i + 1] = playing_[i] + fine_frame_weight * seen_.playing(e, f);
      gap_[i + 1] = gap_[i] + fine_frame_weight * seen_.gap(f);
      other_[i + 1] = other_[i] + fine_frame_weight * seen_.other(f);
      float begun = seen_.playing(e, f);
      if (before) begun = std::max(begun, seen_.beginning(e, *before, f));
      begun_[i + 1] = begun_[i] + fine_frame_weight * begun;
    }
  }

  void pass(std::size_t k, bool forward) {
    Stage& a = run_.stages[k];
    const bool can_skip = k + 2 < run_.stages.size();
    const Stage& last = run_.stages[can_skip ? k + 2 : k + 1];
    const Event* before = k > 0 && !event(a).repeated ? &event(run_.stages[k - 1]) : nullptr;
    sum_frames(a, a.from, std::max(last.to, a.to + 1), before);
    connect(a, run_.stages[k + 1], a.expected_s, 0, forward, false);
    if (can_skip) {
      Stage& c = run_.stages[k + 2];
      // The time of a note left out may pass in silence or be left out with it.
      const double both = a.expected_s + run_.stages[k + 1].expected_s;
      connect(a, c, both, left_out_cost, forward, true);
      connect(a, c, a.expected_s, left_out_cost, forward, true);
    }
  }

  void connect(Stage& a, Stage& b, double expected, float cost, bool forward, bool over) {
    const Event& e = event(a);
    const bool rest = e.sounding_seconds < 0.95 * e.seconds || e.plucked || a.extra_after;
    const int shortest = std::max(1, static_cast<int>(shortest_note_s / seen_.sound().step_s));
    float best = none;
    for (int i = 0; i < a.size(); ++i)
      best = std::max(best, a.forward[static_cast<std::size_t>(i)]);
    for (int i = 0; i < a.size(); ++i) {
      const std::size_t ai = static_cast<std::size_t>(i);
      if (a.forward[ai] < best - beam) continue;
      float to_gap = none;
      int scanned = i;
      const int first = std::max(b.from, a.from + i + (b.fixed ? 1 : shortest));
      for (int frame = first; frame <= b.to; ++frame) {
        const int j = frame - a.from;
        for (; scanned < j; ++scanned) {
          const std::size_t si = static_cast<std::size_t>(scanned);
          to_gap = std::max(to_gap, playing_[si] - gap_[si]);
        }
        const std::size_t ji = static_cast<std::size_t>(j),
                          bi = static_cast<std::size_t>(frame - b.from);
        const std::size_t settled = std::min(ji, ai + settling_frames);
        const float held = playing_[ji] - playing_[settled] + begun_[settled] - begun_[ai];
        const float gapped = to_gap + gap_[ji] - playing_[ai] - (rest ? 0.0F : gap_cost);
        const float another = other_[ji] - other_[ai] - other_cost;
        const float step = std::max({held, gapped, another}) - cost +
                           (b.fixed ? 0.0F : duration_score(a, expected, frame - a.from - i)) +
                           onset_at(b, frame);
        if (forward) {
          const float total = a.forward[ai] + step;
          if (total > b.forward[bi]) {
            b.forward[bi] = total;
            b.best_before[bi] = a.from + i;
            b.over[bi] = over;
          }
        } else {
          a.backward[ai] = std::max(a.backward[ai], b.backward[bi] + step);
        }
      }
    }
  }

  const ScoreModel& score_;
  const Observations& seen_;
  std::span<const float> onset_;
  Run& run_;
  std::vector<float> playing_, gap_, other_, begun_;
};

int frame_at(double s, double step, std::size_t count) {
  return std::clamp(static_cast<int>(std::lround(s / step)), 0, static_cast<int>(count) - 1);
}

void set_windows(Run& run, double step_s, std::size_t frames) {
  auto& stages = run.stages;
  for (std::size_t k = 0; k < stages.size(); ++k) {
    Stage& s = stages[k];
    const double before = k > 0 ? s.guess_s - stages[k - 1].guess_s : 0.3;
    const double after = k + 1 < stages.size() ? stages[k + 1].guess_s - s.guess_s : 0.3;
    const double back = s.fixed ? 0 : std::clamp(0.8 * before + 0.03, narrowest_s, widest_s);
    const double ahead = s.fixed ? 0 : std::clamp(0.8 * after + 0.03, narrowest_s, widest_s);
    s.from = frame_at(s.guess_s - back, step_s, frames);
    s.to = frame_at(s.guess_s + ahead, step_s, frames);
    if (k > 0) {
      s.from = std::max(s.from, stages[k - 1].from + 1);
      s.to = std::max(s.to, s.from);
    }
  }
  // Nothing may begin after the end of the run.
  for (std::size_t k = stages.size() - 1; k-- > 0;) {
    stages[k].to = std::max(stages[k].from, std::min(stages[k].to, stages[k + 1].to - 1));
  }
}

// A stage for every event from the run's first to its last, those left out between their
// neighbours.
Run stages_of(const ScoreModel& score, std::span<const Placed> placed, double step_s,
              std::size_t frames) {
  Run run;
  run.jumped_to = placed.front().jumped_to;
  run.extra_before = placed.front().extra_before;
  const std::vector<double> tempo = local_tempo(score, placed);
  for (std::size_t i = 0; i < placed.size(); ++i) {
    const Placed& p = placed[i];
    const double next_s = i + 1 < placed.size() ? placed[i + 1].onset_s : p.end_s;
    const int last = i + 1 < placed.size() ? placed[i + 1].event : p.event + 1;
    double written = 0, passed = 0;
    for (int k = p.event; k < last; ++k)
      written += score.events[static_cast<std::size_t>(k)].seconds;
    for (int k = p.event; k < last; ++k) {
      const double length = score.events[static_cast<std::size_t>(k)].seconds;
      Stage s;
      s.event = k;
      s.guess_s = p.onset_s + (next_s - p.onset_s) * passed / written;
      s.expected_s = length * std::exp(tempo[i]);
      s.extra_after = k + 1 == last && i + 1 < placed.size() && placed[i + 1].extra_before;
      run.stages.push_back(std::move(s));
      passed += length;
    }
  }
  Stage end;
  end.event = placed.back().event;
  end.guess_s = std::max(placed.back().end_s, run.stages.back().guess_s + 2 * step_s);
  end.fixed = true;
  run.stages.push_back(std::move(end));
  set_windows(run, step_s, frames);
  return run;
}

// Until when the event's notes sound, or another tone in their place, before the gap to the next.
void find_end(const Event& e, const Observations& seen, Fine& fine) {
  const double step = seen.step_s();
  const std::size_t from = static_cast<std::size_t>(fine.onset_s / step);
  const std::size_t to = std::min(seen.frames(), static_cast<std::size_t>(fine.next_s / step));
  constexpr float per_frame = 4;  // frames that count for one here
  float gap_left = 0;
  for (std::size_t f = from; f < to; ++f) gap_left += seen.gap(f);
  float playing = 0, other = -other_cost * per_frame, best = none;
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

void read_marginals(const Stage& s, int chosen, double step_s, Fine& fine) {
  float best = none;
  for (int i = 0; i < s.size(); ++i) {
    const std::size_t k = static_cast<std::size_t>(i);
    best = std::max(best, s.forward[k] + s.backward[k]);
  }
  double all = 0, near = 0;
  const int reach = static_cast<int>(0.05 / step_s);
  for (int i = 0; i < s.size(); ++i) {
    const std::size_t k = static_cast<std::size_t>(i);
    const double share = std::exp(static_cast<double>(s.forward[k] + s.backward[k] - best));
    all += share;
    if (std::abs(s.from + i - chosen) <= reach) near += share;
  }
  fine.onset_share = all > 0 ? near / all : 0;
}

std::vector<Fine> read_run(const ScoreModel& score, const Observations& seen, const Run& run) {
  const double step = seen.sound().step_s;
  const auto& stages = run.stages;
  std::vector<int> frames(stages.size(), -1);
  std::size_t k = stages.size() - 1;
  int frame = stages.back().from;
  float total = none;
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
    const Event& e = score.events[static_cast<std::size_t>(fine.event)];
    find_end(e, seen, fine);
    float with = none;
    for (int j = 0; j < stages[i].size(); ++j) {
      const std::size_t jj = static_cast<std::size_t>(j);
      with = std::max(with, stages[i].forward[jj] + stages[i].backward[jj]);
    }
    fine.left_out_margin = static_cast<double>(with - total);
    if (!fine.left_out) read_marginals(stages[i], frames[i], step, fine);
    out.push_back(fine);
  }
  return out;
}

}  // namespace

std::vector<double> local_tempo(const ScoreModel& score, std::span<const Placed> run) {
  struct Ratio {
    double log_ratio, weight;
  };
  std::vector<Ratio> ratios(run.size());
  for (std::size_t i = 0; i < run.size(); ++i) {
    const double next_s = i + 1 < run.size() ? run[i + 1].onset_s : run[i].end_s;
    const int last = i + 1 < run.size() ? run[i + 1].event : run[i].event + 1;
    double written = 0;
    for (int k = run[i].event; k < last; ++k)
      written += score.events[static_cast<std::size_t>(k)].seconds;
    const double seconds = std::max(0.02, next_s - run[i].onset_s);
    const bool loose = i + 1 == run.size() || run[i + 1].extra_before ||
                       score.events[static_cast<std::size_t>(run[i].event)].fermata;
    ratios[i] = {std::log(seconds / written), loose ? 0.1 : std::min(1.0, seconds)};
  }
  std::vector<double> tempo(run.size());
  std::vector<Ratio> near;
  for (std::size_t i = 0; i < run.size(); ++i) {
    near.clear();
    double all = 0;
    const std::size_t from = i > 8 ? i - 8 : 0, to = std::min(run.size(), i + 9);
    for (std::size_t j = from; j < to; ++j) {
      const double away = (static_cast<double>(j) - static_cast<double>(i)) / 4;
      near.push_back({ratios[j].log_ratio, ratios[j].weight * std::exp(-0.5 * away * away)});
      all += near.back().weight;
    }
    std::sort(near.begin(), near.end(),
              [](const Ratio& a, const Ratio& b) { return a.log_ratio < b.log_ratio; });
    double sum = 0;
    for (const Ratio& r : near) {
      sum += r.weight;
      tempo[i] = r.log_ratio;
      if (sum >= all / 2) break;
    }
  }
  return tempo;
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
    RunSearch(score, seen, onset_evidence, run).solve();
    const auto part = read_run(score, seen, run);
    result.insert(result.end(), part.begin(), part.end());
    from = to;
  }
  return result;
}

}  // namespace endpin::listen
