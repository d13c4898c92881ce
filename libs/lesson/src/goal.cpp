#include "endpin/lesson/goal.h"

#include <algorithm>

namespace endpin {
namespace {

constexpr std::size_t most_bars = 4;

void add_bar(Goal& goal, const std::string& number) {
  const bool there = std::find(goal.bars.begin(), goal.bars.end(), number) != goal.bars.end();
  if (!there && goal.bars.size() < most_bars) goal.bars.push_back(number);
}

void say(Goal& goal) {
  const std::string key = "goal." + std::string(name(goal.trouble));
  goal.for_child = {key + ".child", {{"bars", argument(goal.bars)}}};
  goal.for_adult = {key + ".adult", {{"bars", argument(goal.bars)}}};
}

}  // namespace

std::vector<Goal> goals(const Part& part, const std::vector<DrillPlace>& places) {
  std::vector<Goal> result;
  const auto number = [&](int bar) { return part.bars.at(static_cast<std::size_t>(bar)).number; };
  for (const DrillPlace& place : places) {
    auto goal = std::find_if(result.begin(), result.end(),
                             [&](const Goal& g) { return g.trouble == place.trouble; });
    // Two pairs of twins are two things to tell apart.
    const bool apart = place.trouble == Trouble::twin || place.trouble == Trouble::other;
    if (goal == result.end()) {
      if (result.size() == most_goals) continue;
      result.push_back({place.trouble, {}, {}, {}});
      goal = std::prev(result.end());
    } else if (apart) {
      continue;
    }
    for (int i = 0; i < place.bars; ++i) add_bar(*goal, number(place.bar + i));
    if (place.twin) add_bar(*goal, number(*place.twin));
  }
  const auto order = [&](const std::string& bar) {
    return std::find_if(part.bars.begin(), part.bars.end(),
                        [&](const Bar& b) { return b.number == bar; }) -
           part.bars.begin();
  };
  for (Goal& goal : result) {
    std::sort(goal.bars.begin(), goal.bars.end(),
              [&](const auto& a, const auto& b) { return order(a) < order(b); });
    say(goal);
  }
  return result;
}

}  // namespace endpin
