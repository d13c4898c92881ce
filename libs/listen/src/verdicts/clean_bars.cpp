#include "verdicts/clean_bars.h"

#include <algorithm>
#include <set>

namespace endpin::listen {
namespace {

constexpr std::size_t fewest_bars = 2;  // one bar proves no tempo (ours)
constexpr double least_quarters = 3;    // nor do a few short notes
// Beats, and of a step's own time where it is short (ours).
constexpr double longest_stay = 0.8, longest_loss = 0.4, stay_of_short = 0.35,
                 share_of_short = 0.75;

bool same_bar(const TakeView& take, int a, int b) {
  return take.written(a).bar == take.written(b).bar && take.written(a).pass == take.written(b).pass;
}

std::optional<double> bpm_of(const TakeView& take, int from, int to) {
  const double quarters = (take.written(to).onset - take.written(from).onset).to_double();
  const double seconds = (take.sound(to).onset - take.sound(from).onset).value();
  if (quarters < least_quarters || seconds <= 0) return std::nullopt;
  return 60 * quarters / seconds / take.timeline().beat_unit.to_double();
}

}  // namespace

bool is_out_of_time(const TakeView& take, const Stride& s) {
  if (take.written(s.from).fermata) return false;
  const double excess_s = s.excess_s(), beats = excess_s / take.beat_s(s.to);
  const bool twice_as_long =
      beats > stay_of_short && excess_s > share_of_short * s.ratio * s.written_s;
  return beats > longest_stay || beats < -longest_loss || twice_as_long;
}

std::vector<CleanBar> clean_bars(const TakeView& take, const std::vector<Finding>& said) {
  std::set<int> worked_on;
  for (const Finding& f : said) {
    if (tone(f.kind) == Tone::work) worked_on.insert(f.notes.begin(), f.notes.end());
  }
  for (const Stride& s : take.strides()) {
    if (is_out_of_time(take, s)) worked_on.insert({s.from, s.to});
  }
  std::vector<CleanBar> bars;
  for (int i = 0; i < take.size();) {
    int j = i;
    bool clean = true;
    for (; j < take.size() && same_bar(take, i, j); ++j) {
      clean = clean && take.heard(j) && !worked_on.contains(j);
    }
    if (clean) bars.push_back({i, j - 1});
    i = j;
  }
  return bars;
}

std::optional<double> fastest_clean_bpm(const TakeView& take, const std::vector<CleanBar>& bars) {
  std::optional<double> fastest;
  for (std::size_t i = 0; i < bars.size();) {
    std::size_t j = i + 1;
    while (j < bars.size() && bars[j].first == bars[j - 1].last + 1 &&
           !take.went_back_between(bars[j - 1].last, bars[j].first)) {
      ++j;
    }
    const auto bpm =
        j - i < fewest_bars ? std::nullopt : bpm_of(take, bars[i].first, bars[j - 1].last);
    if (bpm) fastest = std::max(*bpm, fastest.value_or(0));
    i = j;
  }
  return fastest;
}

}  // namespace endpin::listen
