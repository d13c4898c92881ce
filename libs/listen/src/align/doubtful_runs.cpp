#include "align/doubtful_runs.h"

#include <algorithm>
#include <cmath>

namespace endpin::listen {
namespace {

constexpr float clear_evidence = -1.2F;
constexpr std::size_t fewest_clear = 3;

// Whether the note that was placed `i`-th sounds.
bool is_clear(const ScoreModel& score, const Observations& seen, const std::vector<Placed>& placed,
              std::size_t i) {
  const Placed& p = placed[i];
  const Event& e = score.events[static_cast<std::size_t>(p.event)];
  const bool goes_on = i + 1 < placed.size() && !placed[i + 1].jumped_to;
  const double end_s = goes_on ? placed[i + 1].onset_s : p.end_s;
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
    if (i == 0 || path.placed[i].jumped_to) runs.push_back({i, i, 0});
    runs.back().to = i + 1;
    runs.back().clear += is_clear(score, seen, path.placed, i);
  }
  return runs;
}

constexpr std::size_t longest_excursion = 32;
constexpr int far_away = 48, lost_for_at_most = 32;
// Of the time that was to be expected (ours): a student who goes back comes as near by chance only.
constexpr double time_within = 0.2;
constexpr std::size_t fewest_in_try = 4;  // ours
constexpr std::size_t pace_from = 8, fewest_for_pace = 3;

constexpr std::size_t few_before_the_first = 8, enough_in_order = 16;      // ours
constexpr double near_s = 0.03, clear_stroke = 2, longest_pause_s = 0.25;  // ours
constexpr double softer_db = 15, first_s = 0.25;                           // ours

// Ways that were lost and found again.
class Excursions {
 public:
  Excursions(const ScoreModel& score, Path& path) : score_(score), placed_(path.placed) {}

  // Nobody begins with a few notes of a distant place and then goes on as if as many of the first
  // had been played: what sounds before that resembles that place, and is the first notes.
  void move_to_the_first() {
    const std::size_t begin = next_jump(1);
    if (begin >= placed_.size() || begin > few_before_the_first) return;
    const int there = placed_[begin].event, first = there - static_cast<int>(begin);
    if (item(there) != item(placed_[0].event) || placed_[0].event - there < far_away) return;
    if (first < 0 || !is_first(first)) return;
    for (std::size_t k = 0; k < begin; ++k) placed_[k].event = first + static_cast<int>(k);
    placed_[begin].jumped_to = false;
  }

  // What comes before an item's first note, and did not begin there itself, was a try only where
  // much was played in order: a scale or another tune in the key resembles some place for a while.
  void drop_before_the_first() {
    for (std::size_t i = next_jump(1); i < placed_.size(); i = next_jump(i + 1)) {
      if (!is_first(placed_[i].event)) continue;
      std::size_t from = i;
      bool was_there = false;
      while (from > 0 && item(placed_[from - 1].event) == item(placed_[i].event)) {
        --from;
        was_there = was_there || is_first(placed_[from].event);
      }
      if (was_there || longest_in_order(from, i) >= enough_in_order) continue;
      placed_.erase(placed_.begin() + static_cast<std::ptrdiff_t>(from),
                    placed_.begin() + static_cast<std::ptrdiff_t>(i));
      i = from;
    }
  }

  // A note that begins once more, and was hardly to be heard the first time, begins there.
  void drop_false_beginnings(const Observations& seen) {
    for (std::size_t i = 0; i + 1 < placed_.size(); ++i) {
      const Placed& first = placed_[i];
      Placed& again = placed_[i + 1];
      if (again.event != first.event || again.jumped_to) continue;
      if (loudest_db(seen, first.onset_s) + softer_db > loudest_db(seen, again.onset_s)) continue;
      again.jumped_to = first.jumped_to;
      again.skipped_before = first.skipped_before;
      again.extra_before = first.extra_before;
      placed_.erase(placed_.begin() + static_cast<std::ptrdiff_t>(i--));
    }
  }

  // A last note that is found once more, without a silence or a stroke between the two, goes on.
  void join_what_goes_on(const Observations& seen) {
    const auto is_struck = [&](double at) {
      return seen.sound().strongest_onset(at - near_s, at + near_s) > clear_stroke;
    };
    for (std::size_t i = next_jump(1); i < placed_.size(); i = next_jump(i + 1)) {
      Placed& before = placed_[i - 1];
      const Placed& again = placed_[i];
      const bool goes_on =
          again.event == before.event && again.onset_s - before.end_s <= longest_pause_s;
      if (!goes_on || is_struck(again.onset_s)) continue;
      before.end_s = again.end_s;
      placed_.erase(placed_.begin() + static_cast<std::ptrdiff_t>(i--));
    }
  }

  // Who goes back has tried what he goes back to, and its first note at least, or most of the rest,
  // was right. Otherwise something else was played.
  void drop_what_was_no_try(const Observations& seen) {
    for (std::size_t i = next_jump(1); i < placed_.size(); i = next_jump(i + 1)) {
      std::size_t from = i - 1;
      while (from > 0 && !placed_[from].jumped_to && placed_[from - 1].event >= placed_[i].event) {
        --from;
      }
      const bool follows = from > 0 && !placed_[from].jumped_to && i - from >= fewest_in_try &&
                           placed_[from].event == placed_[i].event &&
                           placed_[from - 1].event + 1 == placed_[i].event;
      if (!follows || is_clear(score_, seen, placed_, from)) continue;
      std::size_t clear = 0;
      for (std::size_t k = from; k < i; ++k) clear += is_clear(score_, seen, placed_, k);
      if (4 * clear >= 3 * (i - from)) continue;
      placed_[i].jumped_to = false;
      placed_[i].extra_before = true;
      placed_.erase(placed_.begin() + static_cast<std::ptrdiff_t>(from),
                    placed_.begin() + static_cast<std::ptrdiff_t>(i));
      i = from;
    }
  }

  // Nobody plays a few notes of a distant place, or skips some and plays others, and then goes on
  // with the very next note: what lies between is something that the score does not tell, and
  // resembles that place. If this note comes once more, what lies between began with the same tone.
  // Nor does anybody go on a little further on, as late as playing on would have come there: then
  // what lies between was played, and others were followed, or noise.
  void drop() {
    for (std::size_t i = next_jump(1); i < placed_.size(); i = next_jump(i + 1)) {
      const std::size_t back = comes_back_at(i);
      if (back == i && !played_on(i, i)) continue;
      const bool in_time = played_on(i, back);
      const std::size_t from = placed_[back].event == placed_[i - 1].event ? i - 1 : i;
      placed_[back].jumped_to = from < i && placed_[from].jumped_to;
      placed_[back].extra_before = !in_time;
      placed_.erase(placed_.begin() + static_cast<std::ptrdiff_t>(from),
                    placed_.begin() + static_cast<std::ptrdiff_t>(back));
      i = from;
    }
  }

 private:
  static double loudest_db(const Observations& seen, double onset_s) {
    const auto& onset = seen.sound().onset;
    const double step = seen.sound().step_s;
    const auto from = static_cast<std::size_t>(onset_s / step);
    const auto to = std::min(onset.size(), static_cast<std::size_t>((onset_s + first_s) / step));
    double loudest = -200;
    for (std::size_t f = from; f < to; ++f) {
      loudest = std::max(loudest, static_cast<double>(onset[f].level_db));
    }
    return loudest;
  }

  // Where a run begins, or the end of all.
  std::size_t next_jump(std::size_t from) const {
    while (from < placed_.size() && !placed_[from].jumped_to) ++from;
    return from;
  }

  // Where playing goes on as if it had not been elsewhere since it left, or `left`.
  std::size_t comes_back_at(std::size_t left) const {
    const int here = placed_[left - 1].event;
    bool far = true;
    for (std::size_t i = left; i < placed_.size() && i - left <= longest_excursion; ++i) {
      if (item(placed_[i].event) != item(here)) break;
      const int away = placed_[i].event - here;
      const bool goes_on = far && (away == 0 || away == 1);
      if (placed_[i].jumped_to && i > left && (goes_on || played_on(left, i))) return i;
      // Going back a little and breaking off is what practising is like.
      far = far && (away <= -far_away || away > 1);
    }
    return left;
  }

  // How many notes of `from` to `to` follow each other with nothing left out or put in.
  std::size_t longest_in_order(std::size_t from, std::size_t to) const {
    std::size_t longest = 0, run = 0;
    for (std::size_t k = from; k < to; ++k) {
      const Placed& p = placed_[k];
      run = p.jumped_to || p.skipped_before || p.extra_before ? 1 : run + 1;
      longest = std::max(longest, run);
    }
    return longest;
  }

  bool is_first(int event) const { return score_.events[static_cast<std::size_t>(event)].first; }
  int item(int event) const { return score_.events[static_cast<std::size_t>(event)].item; }

  double written_s(int from, int to) const {
    double sum = 0;
    for (int k = from; k < to; ++k) sum += score_.events[static_cast<std::size_t>(k)].seconds;
    return sum;
  }

  // At the pace before `left`, `again` is reached when playing on from there would have.
  bool played_on(std::size_t left, std::size_t again) const {
    const int here = placed_[left - 1].event, there = placed_[again].event;
    if (there <= here || there - here > lost_for_at_most || item(there) != item(here)) return false;
    std::size_t first = left - 1;
    while (first > 0 && !placed_[first].jumped_to && left - 1 - first < pace_from) --first;
    if (left - 1 - first < fewest_for_pace) return false;
    const double since = placed_[left - 1].onset_s;
    const double pace = (since - placed_[first].onset_s) / written_s(placed_[first].event, here);
    const double expected = pace * written_s(here, there);
    return std::abs(placed_[again].onset_s - since - expected) < time_within * expected;
  }

  const ScoreModel& score_;
  std::vector<Placed>& placed_;
};

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
  Excursions excursions(score, path);
  excursions.drop();
  excursions.drop_what_was_no_try(seen);
  excursions.drop_false_beginnings(seen);
  excursions.join_what_goes_on(seen);
  excursions.move_to_the_first();
  excursions.drop_before_the_first();
}

}  // namespace endpin::listen
