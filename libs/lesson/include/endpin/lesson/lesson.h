#pragma once

#include <optional>
#include <string>
#include <vector>

#include "endpin/lesson/exercise.h"
#include "endpin/lesson/goal.h"
#include "endpin/lesson/ladder.h"
#include "endpin/lesson/material.h"

namespace endpin {

struct LessonRequest {
  Material material;
  const Markings* markings = nullptr;       ///< of the piece
  std::vector<DrillPlace> places;           ///< heaviest first
  std::vector<Remark> remarks{};            ///< the teacher's own
  std::optional<double> goal_per_minute{};  ///< of the timeline's beat unit; else the score's tempo
  std::optional<double> clean_per_minute{};  ///< heard clean last, the same unit
  double minutes = 12;                       ///< for the ladder, over the week
  std::vector<std::string> items{};          ///< keys in order; empty: what is ticked
};

enum class ItemKind { warm_up, drill, piece, ladder };
std::string_view name(ItemKind kind);

/// One thing that a lesson can hold.
struct LessonItem {
  std::string key;
  ItemKind kind = ItemKind::piece;
  Sentence title;
  Sentence why;
  std::vector<std::string> bars;
  bool ticked = false;  ///< we would take it; or it was asked for
};

/// Everything that could go home for a week, and what does.
struct Lesson {
  std::vector<LessonItem> items;    ///< proposals, in the order of practice
  std::vector<Exercise> exercises;  ///< one for each warm-up and drill among them, the same order
  std::vector<Goal> goals;
  Ladder ladder;
  double goal_per_minute = 60;   ///< of the timeline's beat unit
  double drill_per_minute = 60;  ///< of the ladder's beat unit: its first rung

  const Exercise* find_exercise(std::string_view key) const;
  /// The ticked items, in the order that was asked for.
  std::vector<const LessonItem*> chosen() const;
  std::vector<std::string> order;  ///< keys of what goes home
};

/// Lowest and highest tempo that a lesson may ask for, beats a minute.
inline constexpr double slowest_goal = 20;
inline constexpr double fastest_goal = 300;

/// Plans a lesson. A pure function. Errors: a tempo out of range; an item that there is not;
/// nothing in the piece that the step's hand can play.
Result<Lesson> make_lesson(const LessonRequest& request);

}  // namespace endpin
