#include "align/run_search.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace endpin::listen {
namespace {

constexpr float fine_frame_weight = 0.125F;  // half of the coarse pass's: twice the frames
constexpr float left_out_cost = 7.0F;
constexpr float put_in_cost = 7.0F;  // a tone after a note: dearer than one in its place
constexpr float duration_spread = 0.13F, degrees = 3;
constexpr double shortest_note_s = 0.03;
constexpr std::size_t settling_frames = 30;  // 150 ms in which what was before may ring on
// Log likelihood of a beginning by the rise of the note's own comb: fitted on simulated rooms.
constexpr float own_rise_weight = 8, own_rise_usual = 0.35F, own_rise_worst = -1;
constexpr float beam = 30;
constexpr float same = 1e-3F;  // scores that differ by no more

float student_log(float z2) { return -0.5F * (degrees + 1) * std::log1p(z2 / degrees); }

class RunSearch {
 public:
  RunSearch(const ScoreModel& score, const Observations& seen, Run& run)
      : score_(score), seen_(seen), run_(run) {}

  void solve() {
    auto& stages = run_.stages;
    for (Stage& s : stages) {
      const std::size_t n = static_cast<std::size_t>(s.size());
      s.forward.assign(n, unreached);
      s.backward.assign(n, unreached);
      s.best_before.assign(n, -1);
      s.over.assign(n, 0);
      find_begins(s);
    }
    stages.front().forward = stages.front().begins;
    for (std::size_t k = 0; k + 1 < stages.size(); ++k) pass(k, true);
    std::fill(stages.back().backward.begin(), stages.back().backward.end(), 0.0F);
    for (std::size_t k = stages.size() - 1; k-- > 0;) pass(k, false);
  }

  void solve_again(const std::vector<bool>& changed) {
    const std::vector<bool> anew = forward_again(changed);
    backward_again(changed, anew);
  }

  float best_shared(std::size_t k, double first_s, double second_s) {
    Stage first = run_.stages[k - 1], second = run_.stages[k], next = run_.stages[k + 1];
    std::fill(second.forward.begin(), second.forward.end(), unreached);
    std::fill(next.forward.begin(), next.forward.end(), unreached);
    step_to(first, second, first_s, ringing_into(k - 1));
    step_to(second, next, second_s, ringing_into(k));
    float best = unreached;
    for (std::size_t i = 0; i < next.forward.size(); ++i) {
      best = std::max(best, next.forward[i] + next.backward[i]);
    }
    return best;
  }

  std::vector<float> beginnings_between(std::size_t k, int from, int to) {
    const Stage &before = run_.stages[k - 1], &at = run_.stages[k];
    const std::size_t n = static_cast<std::size_t>(to - from);
    std::vector<float> total(n + 1, unreached);
    sum_frames(before, from, to, 1, ringing_into(k - 1));
    Left left;
    for (std::size_t j = 1; j < n; ++j) {
      left.may_be_at(*this, j - 1);
      total[j] = sounding(before, 0, j, left) + onset_at(at, from + static_cast<int>(j));
    }
    sum_frames(at, from, to, to - from, ringing_into(k));
    left = {};
    for (std::size_t i = n; i-- > 1;) {
      left.may_be_at(*this, i);
      total[i] += sounding(at, i, n, left);
    }
    return total;
  }

 private:
  // What a step from stage `k` expects of it and, where the next is left out, of that.
  static bool expects_otherwise(const std::vector<bool>& changed, std::size_t k) {
    return changed[k] || (k + 1 < changed.size() && changed[k + 1]);
  }

  // The two stages last looked at decide about the next: whether both lie above what they were by
  // the same.
  struct Moved {
    float by = 0;
    int alike = 2;

    void look_at(const std::vector<float>& now, const std::vector<float>& before) {
      const float best = *std::max_element(now.begin(), now.end());
      const float here = best - *std::max_element(before.begin(), before.end());
      bool all = true;
      for (std::size_t i = 0; i < now.size(); ++i) {
        const bool likely = std::max(now[i], before[i] + here) >= best - beam;
        all = all && (!likely || std::abs(now[i] - before[i] - here) < same);
      }
      alike = !all ? 0 : alike > 0 && std::abs(here - by) < same ? alike + 1 : 1;
      by = here;
    }
    void move(std::vector<float>& scores) const {
      for (float& score : scores) score += by;
    }
  };

  // Which stages were not only moved.
  std::vector<bool> forward_again(const std::vector<bool>& changed) {
    auto& stages = run_.stages;
    std::vector<bool> anew(stages.size());
    Moved moved;
    for (std::size_t m = 1; m < stages.size(); ++m) {
      Stage& s = stages[m];
      const bool over = m >= 2;
      anew[m] = moved.alike < 2 || expects_otherwise(changed, m - 1) ||
                (over && expects_otherwise(changed, m - 2));
      if (!anew[m]) {
        moved.move(s.forward);
        continue;
      }
      const std::vector<float> before = s.forward;
      std::fill(s.forward.begin(), s.forward.end(), unreached);
      std::fill(s.best_before.begin(), s.best_before.end(), -1);
      std::fill(s.over.begin(), s.over.end(), 0);
      if (over) {
        sum_frames_to(m, m - 2);
        connect_over(m - 2, true);
      }
      sum_frames_to(m, m - 1);
      connect_next(m - 1, true);
      moved.look_at(s.forward, before);
    }
    return anew;
  }

  void backward_again(const std::vector<bool>& changed, const std::vector<bool>& anew) {
    auto& stages = run_.stages;
    Moved moved;
    for (std::size_t k = stages.size() - 1; k-- > 0;) {
      std::vector<float>& backward = stages[k].backward;
      if (moved.alike >= 2 && !anew[k] && !expects_otherwise(changed, k)) {
        moved.move(backward);
        continue;
      }
      const std::vector<float> before = backward;
      std::fill(backward.begin(), backward.end(), unreached);
      pass(k, false);
      moved.look_at(backward, before);
    }
  }

  // The event that may ring into the beginning of stage `k`; null: none.
  const Event* ringing_into(std::size_t k) const {
    const bool rings = k > 0 && !event(run_.stages[k]).repeated && seen_.uses().rings_into;
    return rings ? &event(run_.stages[k - 1]) : nullptr;
  }

  // Where a note may have been left: the best of playing less a gap, and less another tone.
  struct Left {
    float for_gap = unreached, for_other = unreached;
    void may_be_at(const RunSearch& search, std::size_t i) {
      for_gap = std::max(for_gap, search.playing_[i] - search.gap_[i]);
      for_other = std::max(for_other, search.playing_[i] - search.other_[i]);
    }
  };

  // Of the frames from i to j, in which the stage's note sounds to the end, to a gap or to a tone
  // that is put in, or another tone in its place.
  float sounding(const Stage& s, std::size_t i, std::size_t j, const Left& left) const {
    const Event& e = event(s);
    const bool rest = e.sounding_seconds < 0.95 * e.seconds || e.plucked || s.extra_after;
    const std::size_t settled = std::min(j, i + settling_frames);
    const float held = playing_[j] - playing_[settled] + begun_[settled] - begun_[i];
    const float gapped = left.for_gap + gap_[j] - playing_[i] - (rest ? 0.0F : gap_cost);
    const float put_in = left.for_other + other_[j] - playing_[i] - put_in_cost;
    const float another = other_[j] - other_[i] - other_cost;
    return std::max({held, gapped, put_in, another});
  }

  const Event& event(const Stage& s) const {
    return score_.events[static_cast<std::size_t>(s.event)];
  }

  float onset_at(const Stage& s, int frame) const {
    if (s.fixed) return 0;
    const std::vector<float>& evidence = seen_.sound().onset_evidence;
    const int last = static_cast<int>(evidence.size()) - 1;
    const float strength = evidence[static_cast<std::size_t>(std::clamp(frame, 0, last))];
    const Event& e = event(s);
    const float any = e.slurred || e.ornamented ? std::max(-0.7F, 0.6F * strength) : strength;
    const float begun = 1 - own_swelling(e, frame);
    return (any > 0 ? begun * any : any) +
           (e.repeated || !seen_.uses().own_rise ? 0.0F : own_rise(e, frame, begun));
  }

  // The mean over both frames of pitch that a frame of the onset grid lies between.
  template <typename F>
  float between_frames(int frame, F&& at) const {
    const std::size_t last = seen_.frames() - 1;
    const std::size_t f = std::min(last, static_cast<std::size_t>(std::max(0, frame)) / 2);
    const std::size_t g = std::min(last, f + static_cast<std::size_t>(frame % 2));
    return f == g ? at(f) : 0.5F * (at(f) + at(g));
  }

  // In a slur the bow goes on: a tone that grows there grew before it was played.
  float own_swelling(const Event& e, int frame) const {
    if (e.slurred || !seen_.uses().swelling) return 0;
    float least = 1;
    for (const int p : e.pitches) {
      least = std::min(least, between_frames(frame, [&](std::size_t f) {
                         return seen_.pitch().swelling(f, p);
                       }));
    }
    return least;
  }

  // A note that begins makes its own partials grow, also where another rings or plays on. `begun`:
  // the share by which it is more than the first sign of it.
  float own_rise(const Event& e, int frame, float begun) const {
    float rise = -1;
    for (const int p : e.pitches) {
      rise = std::max(
          rise, between_frames(frame, [&](std::size_t f) { return seen_.pitch().rise(f, p); }));
    }
    return std::max(own_rise_worst, own_rise_weight * (begun * rise - own_rise_usual));
  }

  void find_begins(Stage& s) const {
    s.begins.resize(static_cast<std::size_t>(s.size()));
    for (int i = 0; i < s.size(); ++i) {
      s.begins[static_cast<std::size_t>(i)] = onset_at(s, s.from + i);
    }
  }

  float duration_score(const Stage& from, double expected, int frames) const {
    if (!seen_.uses().durations) return 0;
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
  // beginning, which lies within `begins` frames. Two frames of the onset grid share one of pitch.
  void sum_frames(const Stage& from, int first, int last, int begins, const Event* before) {
    const std::size_t n = static_cast<std::size_t>(last - first) + 1;
    const std::size_t begun = std::min(n, static_cast<std::size_t>(begins) + settling_frames);
    for (auto* sums : {&playing_, &gap_, &other_, &begun_}) sums->assign(n, 0);
    const Event& e = event(from);
    const std::size_t frames = seen_.frames();
    std::size_t known = frames;
    float playing = 0, gap = 0, other = 0, begins_now = 0;
    for (std::size_t i = 0; i + 1 < n; ++i) {
      const std::size_t f = std::min(frames - 1, static_cast<std::size_t>(first) / 2 +
                                                     (i + static_cast<std::size_t>(first % 2)) / 2);
      if (f != known) {
        known = f;
        playing = seen_.playing(e, f);
        gap = seen_.gap(f), other = seen_.other(f);
        begins_now =
            before && i < begun ? std::max(playing, seen_.beginning(e, *before, f)) : playing;
      }
      playing_[i + 1] = playing_[i] + fine_frame_weight * playing;
      gap_[i + 1] = gap_[i] + fine_frame_weight * gap;
      other_[i + 1] = other_[i] + fine_frame_weight * other;
      begun_[i + 1] = begun_[i] + fine_frame_weight * begins_now;
    }
  }

  void pass(std::size_t k, bool forward) {
    const bool can_skip = k + 2 < run_.stages.size();
    sum_frames_to(can_skip ? k + 2 : k + 1, k);
    connect_next(k, forward);
    if (can_skip) connect_over(k, forward);
  }

  void sum_frames_to(std::size_t last, std::size_t k) {
    const Stage& a = run_.stages[k];
    sum_frames(a, a.from, std::max(run_.stages[last].to, a.to + 1), a.size(), ringing_into(k));
  }

  void connect_next(std::size_t k, bool forward) {
    Stage& a = run_.stages[k];
    connect(a, run_.stages[k + 1], a.expected_s, 0, forward, false);
  }

  // The time of a note left out may pass in silence or be left out with it.
  void connect_over(std::size_t k, bool forward) {
    Stage &a = run_.stages[k], &c = run_.stages[k + 2];
    const double both = a.expected_s + run_.stages[k + 1].expected_s;
    connect(a, c, both, left_out_cost, forward, true);
    connect(a, c, a.expected_s, left_out_cost, forward, true);
  }

  void step_to(Stage& a, Stage& b, double expected, const Event* before) {
    sum_frames(a, a.from, std::max(b.to, a.to + 1), a.size(), before);
    connect(a, b, expected, 0, true, false);
  }

  // [frames from one onset to the next]
  void score_durations(const Stage& a, const Stage& b, double expected) {
    const int longest = b.to - a.from;
    durations_.assign(static_cast<std::size_t>(std::max(0, longest)) + 1, 0);
    if (b.fixed) return;
    for (int frames = 1; frames <= longest; ++frames) {
      durations_[static_cast<std::size_t>(frames)] = duration_score(a, expected, frames);
    }
  }

  // Most of the second pass is spent here: row by row, in loops that become vectors.
  void connect(Stage& a, Stage& b, double expected, float cost, bool forward, bool over) {
    const int shortest =
        b.fixed ? 1 : std::max(1, static_cast<int>(shortest_note_s / seen_.sound().step_s));
    score_durations(a, b, expected);
    const float least = *std::max_element(a.forward.begin(), a.forward.end()) - beam;
    const int first = b.from - a.from, end = b.to - a.from + 1;  // of a's frames
    begin_rows(a.size(), end);
    for (int i = a.size() - 1; i >= 0; --i) {
      const std::size_t ai = static_cast<std::size_t>(i);
      const int from = std::max(first, i + shortest);
      include_left_at(i, end);
      if (a.forward[ai] < least || from >= end) continue;
      score_row(a, i, from, end, cost);
      const float* begins = b.begins.data() + (from - first);
      for (int j = from; j < end; ++j) row_[static_cast<std::size_t>(j)] += begins[j - from];
      if (forward) {
        reach_from(a.forward[ai], i, from, end);
      } else {
        const float* backward = b.backward.data() + (from - first);
        a.backward[ai] = std::max(a.backward[ai], best_of_row(backward, from, end));
      }
    }
    if (forward) take_reached(a, b, first, end, over);
  }

  // Where stage a's note may have been left up to each frame: rows go from its last beginning to
  // its first, so that each adds one.
  void begin_rows(int size, int end) {
    const std::size_t n = static_cast<std::size_t>(std::max(size, end)) + 1;
    row_.resize(n), reached_.assign(n, unreached), reached_from_.assign(n, -1);
    to_gap_.assign(n, unreached), to_other_.assign(n, unreached);
    Left left;
    for (int j = size; j < end; ++j) {
      const std::size_t before = static_cast<std::size_t>(j) - 1;
      left.may_be_at(*this, before);
      to_gap_[before + 1] = left.for_gap, to_other_[before + 1] = left.for_other;
    }
  }
  void include_left_at(int i, int end) {
    Left here;
    here.may_be_at(*this, static_cast<std::size_t>(i));
    float *to_gap = to_gap_.data(), *to_other = to_other_.data();
    for (int j = i + 1; j < end; ++j) {
      to_gap[j] = to_gap[j] > here.for_gap ? to_gap[j] : here.for_gap;
      to_other[j] = to_other[j] > here.for_other ? to_other[j] : here.for_other;
    }
  }

  // As sounding() has it, of the frames from i to each j, and the duration.
  void score_row(const Stage& a, int i, int from, int end, float cost) {
    const Event& e = event(a);
    const bool rest = e.sounding_seconds < 0.95 * e.seconds || e.plucked || a.extra_after;
    const int settled = std::min(end - 1, i + static_cast<int>(settling_frames));
    const float *playing = playing_.data(), *gap = gap_.data(), *other = other_.data();
    const float *begun = begun_.data(), *to_gap = to_gap_.data(), *lasts = durations_.data();
    const float* to_other = to_other_.data();
    const float begun_i = begun[i], playing_i = playing[i], other_i = other[i];
    const float may_rest = rest ? 0.0F : gap_cost;
    float* row = row_.data();
    const auto score = [=](int j, float held) {
      const float gapped = to_gap[j] + gap[j] - playing_i - may_rest;
      const float put_in = to_other[j] + other[j] - playing_i - put_in_cost;
      const float another = other[j] - other_i - other_cost;
      const float own = held > gapped ? held : gapped;
      const float foreign = put_in > another ? put_in : another;
      row[j] = (own > foreign ? own : foreign) - cost + lasts[j - i];
    };
    for (int j = from; j < settled; ++j) score(j, begun[j] - begun_i);
    const float at = playing[settled], begun_at = begun[settled];
    for (int j = std::max(from, settled); j < end; ++j) {
      score(j, playing[j] - at + begun_at - begun_i);
    }
  }

  // Of equal ways the one from the earliest frame, which comes last.
  void reach_from(float score, int i, int from, int end) {
    const float* row = row_.data();
    float* reached = reached_.data();
    int* reached_from = reached_from_.data();
    for (int j = from; j < end; ++j) {
      const float total = score + row[j];
      reached_from[j] = total >= reached[j] ? i : reached_from[j];
      reached[j] = total >= reached[j] ? total : reached[j];
    }
  }
  void take_reached(const Stage& a, Stage& b, int first, int end, bool over) const {
    for (int j = std::max(first, 0); j < end; ++j) {
      const std::size_t ji = static_cast<std::size_t>(j), bi = static_cast<std::size_t>(j - first);
      if (!(reached_[ji] > b.forward[bi])) continue;
      b.forward[bi] = reached_[ji];
      b.best_before[bi] = a.from + reached_from_[ji];
      b.over[bi] = over;
    }
  }

  // Eight side by side, which the compiler turns into vectors.
  float best_of_row(const float* backward, int from, int end) const {
    std::array<float, 8> best;
    best.fill(unreached);
    const float* row = row_.data() + from;
    const int count = end - from, whole = count / 8 * 8;
    for (int j = 0; j < whole; j += 8) {
      for (std::size_t k = 0; k < 8; ++k) {
        const float total = backward[j + static_cast<int>(k)] + row[j + static_cast<int>(k)];
        best[k] = best[k] > total ? best[k] : total;
      }
    }
    for (int j = whole; j < count; ++j) best[0] = std::max(best[0], backward[j] + row[j]);
    return *std::max_element(best.begin(), best.end());
  }

  const ScoreModel& score_;
  const Observations& seen_;
  Run& run_;
  std::vector<float> playing_, gap_, other_, begun_, durations_;
  // Of the pair of stages at work, [frame of the first]: where it may have been left before it; of
  // the row; the best way to it, and from where.
  std::vector<float> to_gap_, to_other_, row_, reached_;
  std::vector<int> reached_from_;
};

}  // namespace

void search_run(const ScoreModel& score, const Observations& seen, Run& run) {
  RunSearch(score, seen, run).solve();
}

void search_run_again(const ScoreModel& score, const Observations& seen,
                      const std::vector<bool>& changed, Run& run) {
  RunSearch(score, seen, run).solve_again(changed);
}

float best_shared(const ScoreModel& score, const Observations& seen, Run& run, std::size_t k,
                  double first_s, double second_s) {
  return RunSearch(score, seen, run).best_shared(k, first_s, second_s);
}

std::vector<float> beginnings_between(const ScoreModel& score, const Observations& seen, Run& run,
                                      std::size_t k, int from, int to) {
  return RunSearch(score, seen, run).beginnings_between(k, from, to);
}

}  // namespace endpin::listen
