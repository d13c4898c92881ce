#include "align/doubtful_runs.h"

#include <algorithm>
#include <cstdlib>

namespace endpin::listen {
namespace {

constexpr float clear_evidence = -1.2F;
constexpr std::size_t fewest_clear = 3;

bool is_clear(const Event& e, const Observations& seen, const Placed& p, double end_s) {
  const std::size_t from = static_cast<std::size_t>((p.onset_s + 0.03) / seen.step_s());
  const std::size_t to = std::min(seen.frames(), static_cast<std::size_t>(end_s / seen.step_s()));
  float sum = 0;
  std::size_t frames = 0;
  for (std::size_t f = from; f < to; ++f) {
    if (seen.quiet(f) || seen.ringing(f)) continue;
    ++frames, sum += seen.playing(e, f);
  }
  return frames >= 5 && sum > clear_evidence * static_cast<float>(frames);
}

struct Run {
  std::size_t from, to, clear;
};

std::vector<Run> runs_of(const ScoreModel& score, const Observations& seen, const Path& path) {
  std::vector<Run> runs;
  for (std::size_t i = 0; i < path.placed.size(); ++i) {
    const Placed& p = path.placed[i];
    if (i == 0 || p.jumped_to) runs.push_back({i, i, 0});
    const bool goes_on = i + 1 < path.placed.size() && !path.placed[i + 1].jumped_to;
    const double end_s = goes_on ? path.placed[i + 1].onset_s : p.end_s;
    runs.back().to = i + 1;
    runs.back().clear += is_clear(score.events[static_cast<std::size_t>(p.event)], seen, p, end_s);
  }
  return runs;
}

constexpr std::size_t longest_excursion = 32;
constexpr int far_away = 48;

// Where a run begins, or the end of all.
std::size_t next_jump(const std::vector<Placed>& placed, std::size_t from) {
  while (from < placed.size() && !placed[from].jumped_to) ++from;
  return from;
}

// Where playing goes on with the very next event, or with this one once more, after a few notes far
// from here; or nothing.
std::size_t comes_back_at(const std::vector<Placed>& placed, std::size_t left) {
  const int here = placed[left - 1].event;
  for (std::size_t i = left; i < placed.size() && i - left <= longest_excursion; ++i) {
    const bool goes_on = placed[i].event == here || placed[i].event == here + 1;
    if (placed[i].jumped_to && goes_on) return i;
    if (std::abs(placed[i].event - here) <= far_away) break;
  }
  return left;
}

// Nobody plays a few notes of a distant place and then goes on with the very next note: what lies
// between is something that the score does not tell, and resembles that place. If this note comes
// once more, what lies between began with the same tone.
void drop_excursions(Path& path) {
  auto& placed = path.placed;
  for (std::size_t i = next_jump(placed, 1); i < placed.size(); i = next_jump(placed, i + 1)) {
    const std::size_t back = comes_back_at(placed, i);
    if (back == i) continue;
    const std::size_t from = placed[back].event == placed[i - 1].event ? i - 1 : i;
    placed[back].jumped_to = from < i && placed[from].jumped_to;
    placed[back].extra_before = true;
    placed.erase(placed.begin() + static_cast<std::ptrdiff_t>(from),
                 placed.begin() + static_cast<std::ptrdiff_t>(back));
    i = from;
  }
}

}  // namespace

void drop_doubtful_runs(const ScoreModel& score, const Observations& seen, Path& path) {
  const std::vector<Run> runs = runs_of(score, seen, path);
  std::size_t most = 0;
  for (const Run& r : runs) most = std::max(most, r.clear);
  std::vector<Placed> kept;
  bool longest_kept = false;
  for (const Run& r : runs) {
    const bool longest = r.clear == most && !longest_kept;
    longest_kept = longest_kept || longest;
    const bool keeps = longest || (r.clear >= fewest_clear && r.clear * 2 > r.to - r.from);
    if (keeps) {
      kept.insert(kept.end(), path.placed.begin() + static_cast<std::ptrdiff_t>(r.from),
                  path.placed.begin() + static_cast<std::ptrdiff_t>(r.to));
    } else if (!kept.empty()) {
      const bool adjacent = path.placed[r.from].onset_s - kept.back().end_s < 0.1;
      if (adjacent) kept.back().end_s = path.placed[r.to - 1].end_s;
    }
  }
  path.placed = std::move(kept);
  drop_excursions(path);
}

}  // namespace endpin::listen
