#include "endpin/lesson/goal.h"

#include <algorithm>

namespace endpin {
namespace {

constexpr std::size_t most_bars = 4;

void add_bar(Goal& goal, const std::string& number) {
  const bool there = std::find(goal.bars.begin(), goal.bars.end(), number) != goal.bars.end();
  if (!there && goal.bars.size() < most_bars) goal.bars.push_back(number);
}

void set_sentences(Goal& goal) {
  const std::string key = "goal." + std::string(name(goal.trouble));
  goal.for_child = {key + ".child", {{"bars", argument(goal.bars)}}};
  goal.for_adult = {key + ".adult", {{"bars", argument(goal.bars)}}};
}

Goal goal_for(const DrillPlace& place, const std::vector<Remark>& remarks) {
  Goal goal;
  goal.source = place.heard ? GoalSource::heard : GoalSource::score;
  goal.trouble = place.trouble;
  for (const Remark& remark : remarks) {
    if (remark.kind && remark.kind == place.heard && goal.words.empty()) goal.words = remark.words;
  }
  return goal;
}

std::vector<Goal> goals_of_the_teacher(const std::vector<Remark>& remarks) {
  std::vector<Goal> result;
  for (const Remark& remark : remarks) {
    if (remark.kind || result.size() == most_goals) continue;
    Goal goal;
    goal.source = GoalSource::teacher;
    goal.words = remark.words;
    result.push_back(std::move(goal));
  }
  return result;
}

}  // namespace

std::string_view name(GoalSource source) {
  constexpr std::string_view names[] = {"teacher", "heard", "score"};
  return names[static_cast<std::size_t>(source)];
}

std::string Goal::said(bool adult, Language language) const {
  if (!words.empty()) return words;
  return say(adult ? for_adult : for_child, language);
}

std::vector<Goal> goals(const Part& part, const std::vector<DrillPlace>& places,
                        const std::vector<Remark>& remarks) {
  std::vector<Goal> result = goals_of_the_teacher(remarks);
  const auto number = [&](int bar) { return part.bars.at(static_cast<std::size_t>(bar)).number; };
  for (const DrillPlace& place : places) {
    auto goal = std::find_if(result.begin(), result.end(), [&](const Goal& g) {
      return g.source != GoalSource::teacher && g.trouble == place.trouble;
    });
    // Two pairs of twins are two things to tell apart.
    const bool apart = place.trouble == Trouble::twin || place.trouble == Trouble::other;
    if (goal == result.end()) {
      if (result.size() == most_goals) continue;
      result.push_back(goal_for(place, remarks));
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
    if (goal.source != GoalSource::teacher) set_sentences(goal);
  }
  return result;
}

}  // namespace endpin
