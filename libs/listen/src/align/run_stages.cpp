#include <algorithm>
#include <cmath>

#include "align/fine_path.h"
#include "align/run.h"

namespace endpin::listen {
namespace {

constexpr double narrowest_s = 0.11, widest_s = 0.35;

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

}  // namespace

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

}  // namespace endpin::listen
