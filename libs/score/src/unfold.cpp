#include "endpin/score/unfold.h"

#include <algorithm>
#include <set>

#include "fmt/format.h"

namespace endpin {
namespace {

/// Adjacent bars under ending brackets: what closes one repeat.
struct EndingGroup {
  int first = 0;
  int last = 0;
  int brackets = 0;
  int highest = 0;  ///< the largest number on a bracket
  bool repeats = false;

  /// One bracket that no repeat belongs to: there is nothing else to play in its place.
  bool alone() const { return brackets == 1 && !repeats; }
  /// The pass whose ending is played last; a lone first ending is left out on the last pass.
  int last_pass() const { return brackets == 1 && repeats ? highest + 1 : highest; }
};

bool holds(const std::vector<int>& numbers, int number) {
  return std::find(numbers.begin(), numbers.end(), number) != numbers.end();
}

std::vector<EndingGroup> ending_groups(const std::vector<Bar>& bars) {
  std::vector<EndingGroup> groups;
  for (int i = 0; i < static_cast<int>(bars.size()); ++i) {
    const Navigation& here = bars[i].navigation;
    if (here.ending.empty()) continue;
    const bool adjacent = !groups.empty() && groups.back().last == i - 1;
    const bool bracket =
        !adjacent || here.ending_starts || here.ending != bars[i - 1].navigation.ending;
    if (!adjacent || (bracket && holds(here.ending, 1))) groups.push_back({i, i, 0, 0, false});
    EndingGroup& group = groups.back();
    group.last = i;
    group.brackets += bracket ? 1 : 0;
    group.highest =
        std::max(group.highest, *std::max_element(here.ending.begin(), here.ending.end()));
    group.repeats = group.repeats || here.repeat_end;
  }
  return groups;
}

class Walk {
 public:
  explicit Walk(const Part& part)
      : bars_(part.bars), groups_(ending_groups(part.bars)), visits_(part.bars.size(), 0) {}

  PlayedOrder run() {
    while (at_ < size() && !over_) {
      if (order_.bars.size() >= most_played_bars) return once_through();
      enter_section();
      if (plays_here()) {
        play();
        leave();
      } else {
        pass_over();
      }
    }
    return std::move(order_);
  }

 private:
  int size() const { return static_cast<int>(bars_.size()); }
  const Navigation& here() const { return bars_[at_].navigation; }

  const EndingGroup* group_at(int bar) const {
    const auto after = std::upper_bound(groups_.begin(), groups_.end(), bar,
                                        [](int b, const EndingGroup& g) { return b < g.first; });
    if (after == groups_.begin() || std::prev(after)->last < bar) return nullptr;
    return &*std::prev(after);
  }

  void enter_section() {
    if (here().repeat_start && at_ != section_) start_section(at_);
  }

  void start_section(int bar) {
    section_ = bar;
    iteration_ = 1;
  }

  bool plays_here() const {
    const EndingGroup* group = group_at(at_);
    if (group == nullptr) return true;
    if (group->alone()) return true;
    const int pass = jumped_ && !repeats_now() ? group->last_pass() : iteration_;
    return holds(here().ending, pass);
  }

  /// Whether repeats are still taken: always before a jump, after it only if they say so.
  bool repeats_now() const {
    if (!jumped_) return true;
    const EndingGroup* group = group_at(at_);
    if (group == nullptr) return here().repeat_after_jump;
    return std::any_of(bars_.begin() + group->first, bars_.begin() + group->last + 1,
                       [](const Bar& bar) { return bar.navigation.repeat_after_jump; });
  }

  void pass_over() {
    const EndingGroup* group = group_at(at_);
    if (group->last == at_) start_section(at_ + 1);
    ++at_;
  }

  void play() { order_.bars.push_back({at_, ++visits_[at_]}); }

  void leave() {
    if (here().repeat_end && goes_back()) {
      ++iteration_;
      at_ = section_;
      return;
    }
    const EndingGroup* group = group_at(at_);
    if (here().repeat_end || (group != nullptr && group->last == at_)) start_section(at_ + 1);
    if (jumped_ && (here().fine || at_ == fine_by_bar_line_)) {
      over_ = true;
    } else if (!take_coda() && !take_jump()) {
      ++at_;
    }
  }

  bool goes_back() const {
    if (!repeats_now()) return false;
    const EndingGroup* group = group_at(at_);
    if (group == nullptr) return iteration_ < here().repeat_times;
    for (int bar = group->first; bar <= group->last; ++bar) {
      if (holds(bars_[bar].navigation.ending, iteration_ + 1)) return true;
    }
    return iteration_ < group->last_pass();
  }

  bool take_coda() {
    if (!jumped_ || !here().to_coda || coda_taken_) return false;
    for (int bar = at_ + 1; bar < size(); ++bar) {
      if (!bars_[bar].navigation.coda) continue;
      coda_taken_ = true;
      go_to(bar);
      return true;
    }
    warn("says To Coda, but no later bar is marked as the coda",
         "Mark the bar where the coda begins.");
    return false;
  }

  bool take_jump() {
    if ((!here().da_capo && !here().dal_segno) || !taken_.insert(at_).second) return false;
    const int target = here().dal_segno ? segno_before(at_) : 0;
    if (target < 0) {
      warn("says D.S., but no earlier bar has a segno: played once through", "Mark the segno.");
      return false;
    }
    if (!stops_after_jump(target)) {
      warn("says D.C. or D.S., but no Fine or Coda says where to stop: played once through",
           "Mark the Fine or the Coda.");
      return false;
    }
    jumped_ = true;
    go_to(target);
    return true;
  }

  int segno_before(int bar) const {
    for (; bar >= 0; --bar) {
      if (bars_[bar].navigation.segno) return bar;
    }
    return -1;
  }

  /// A Fine or a To Coda on the way from `target` back to this bar; a final bar line on the way
  /// counts as a Fine.
  bool stops_after_jump(int target) {
    for (int bar = target; bar <= at_; ++bar) {
      if (bars_[bar].navigation.fine || bars_[bar].navigation.to_coda) return true;
    }
    for (int bar = target; bar < at_; ++bar) {
      if (bars_[bar].right != BarLine::final_line) continue;
      fine_by_bar_line_ = bar;
      return true;
    }
    return false;
  }

  void go_to(int bar) {
    at_ = bar;
    start_section(bar);
  }

  void warn(std::string what, std::string remedy) {
    order_.warnings.push_back({"bar " + bars_[at_].number, std::move(what), std::move(remedy)});
  }

  PlayedOrder once_through() const {
    PlayedOrder order;
    for (int bar = 0; bar < size(); ++bar) order.bars.push_back({bar, 1});
    order.warnings.push_back(
        {"bar " + bars_[at_].number,
         fmt::format("the repeats make more than {} bars: played once through", most_played_bars),
         "Correct the number of times."});
    return order;
  }

  const std::vector<Bar>& bars_;
  std::vector<EndingGroup> groups_;
  std::vector<int> visits_;
  std::set<int> taken_;  // bars whose D.C. or D.S. has been taken
  PlayedOrder order_;
  int at_ = 0;
  int section_ = 0;    // where a repeat goes back to
  int iteration_ = 1;  // n-th time through the section
  int fine_by_bar_line_ = -1;
  bool jumped_ = false;
  bool coda_taken_ = false;
  bool over_ = false;
};

}  // namespace

PlayedOrder unfold(const Part& part) { return Walk(part).run(); }

}  // namespace endpin
