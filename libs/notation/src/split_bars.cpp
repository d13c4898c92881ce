#include "split_bars.h"

#include <algorithm>
#include <tuple>
#include <utility>

namespace endpin::notation {
namespace {

/// Moves what stands at or after `at` from `items` to `later`, by `place`.
template <typename Item, typename Place>
void move_later(std::vector<Item>& items, std::vector<Item>& later, Beats at, Place place) {
  const auto cut = std::stable_partition(items.begin(), items.end(),
                                         [&](Item& item) { return place(item) < at; });
  for (auto item = cut; item != items.end(); ++item) {
    place(*item) -= at;
    later.push_back(std::move(*item));
  }
  items.erase(cut, items.end());
}

Bar cut_off(Bar& bar, Beats at) {
  Bar second;
  second.number = "X" + bar.number;
  second.line = bar.line;
  second.implicit = true;
  second.length = bar.length - std::min(at, bar.length);
  bar.length = std::min(at, bar.length);
  second.right = std::exchange(bar.right, BarLine::regular);
  move_later(bar.notes, second.notes, at, [](Note& n) -> Beats& { return n.onset; });
  move_later(bar.directions, second.directions, at, [](Direction& d) -> Beats& { return d.at; });
  move_later(bar.changes, second.changes, at, [](Change& c) -> Beats& { return c.at; });
  const Navigation whole = std::exchange(bar.navigation, Navigation{});
  second.navigation = whole;  // what happens at the bar's end
  bar.navigation.repeat_start = std::exchange(second.navigation.repeat_start, false);
  bar.navigation.segno = std::exchange(second.navigation.segno, false);
  bar.navigation.coda = std::exchange(second.navigation.coda, false);
  bar.navigation.ending = whole.ending;
  bar.navigation.ending_starts = std::exchange(second.navigation.ending_starts, false);
  return second;
}

void mark_cut(Bar& first, Bar& second, const Split& split, const Navigation& whole) {
  if (split.forward) {
    second.navigation.repeat_start = true;
    return;
  }
  first.navigation.repeat_end = true;
  first.navigation.repeat_times = whole.repeat_times;
}

}  // namespace

void split_bars(Score& score, std::vector<Split> splits) {
  const auto key = [](const Split& s) { return std::tuple(s.bar, s.at, s.forward); };
  std::sort(splits.begin(), splits.end(),
            [&](const Split& a, const Split& b) { return key(a) > key(b); });
  const auto same = [&](const Split& a, const Split& b) { return key(a) == key(b); };
  splits.erase(std::unique(splits.begin(), splits.end(), same), splits.end());
  // From the last to the first, so that places stay valid.
  for (const Split& split : splits) {
    for (Part& part : score.parts) {
      if (split.bar >= part.bars.size()) continue;
      Bar& bar = part.bars[split.bar];
      const Navigation whole = bar.navigation;
      if (split.at == Beats(0) || split.at >= bar.length) continue;
      Bar second = cut_off(bar, split.at);
      mark_cut(bar, second, split, whole);
      part.bars.insert(part.bars.begin() + static_cast<std::ptrdiff_t>(split.bar) + 1,
                       std::move(second));
    }
  }
}

}  // namespace endpin::notation
