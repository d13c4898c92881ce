#include "drawing.h"

#include <algorithm>
#include <utility>

#include "endpin/engraving/engraving.h"
#include "endpin/engraving/line_breaks.h"

#include "picture.h"

namespace endpin::app {
namespace {

// Staff heights in millimetres: hand-written school parts are set at 7 to 8, pocket scores at 4
// (ours).
constexpr double part_staff = 7.0, long_part_staff = 6.2, large_staff = 9.5;
constexpr double letter_share = 0.9;  // that paper is 18 mm shorter than A4
constexpr double exercise_staff = 5.6, large_exercise_staff = 8.0;
constexpr double column_gap = 8;

double staff_spaces(double millimetres, double staff_height) {
  return millimetres / (staff_height / 4);
}

EngraveRequest piece_request(const LessonOrder& order, const LessonPlan& plan, Drawings& drawings) {
  Score score = part_alone(order.input.score, order.input.part);
  const double width = area(order.paper).width;
  const double share = order.paper == Paper::letter ? letter_share : 1;
  drawings.staff_height = order.large_print ? large_staff : share * part_staff;
  const double lines = natural_width(score.parts[0]) / staff_spaces(width, part_staff);
  if (!order.large_print && lines > 5) drawings.staff_height = share * long_part_staff;
  set_line_breaks(score.parts[0], staff_spaces(width, drawings.staff_height));

  return picture_request(score, shown_markings(plan.markings), width, drawings.staff_height, 1,
                         order.proposed_lighter);
}

EngraveRequest exercise_request(const LessonOrder& order, const Exercise& exercise, int seed,
                                Drawings& drawings) {
  Score score = part_alone(exercise.score, 0);
  const double staff = order.large_print              ? large_exercise_staff
                       : order.paper == Paper::letter ? letter_share * exercise_staff
                                                      : exercise_staff;
  drawings.exercise_staff_height = staff;
  const double whole = area(order.paper).width;
  const double half = (whole - column_gap) / 2;
  // What does not fit into one line of half the width takes the whole.
  if (!order.large_print) set_line_breaks(score.parts[0], staff_spaces(half, staff));
  const std::vector<Bar>& bars = score.parts[0].bars;
  const bool wide = order.large_print || std::any_of(bars.begin(), bars.end(),
                                                     [](const Bar& b) { return b.new_system; });
  drawings.wide[exercise.key] = wide;
  const double width = wide ? whole : half;
  if (wide) set_line_breaks(score.parts[0], staff_spaces(width, staff));
  const MarkingsById shown =
      shown_markings(exercise.markings, exercise.kind == ExerciseKind::warm_up);
  return picture_request(score, shown, width, staff, seed, order.proposed_lighter);
}

}  // namespace

Result<Drawings> draw(const LessonOrder& order, const LessonPlan& plan) {
  Drawings drawings;
  std::vector<EngraveRequest> requests{piece_request(order, plan, drawings)};
  std::vector<std::string> keys;
  for (const LessonItem* item : plan.lesson.chosen()) {
    const Exercise* exercise = plan.lesson.find_exercise(item->key);
    if (exercise == nullptr) continue;
    keys.push_back(item->key);
    requests.push_back(
        exercise_request(order, *exercise, static_cast<int>(keys.size()) + 1, drawings));
  }
  auto drawn = engrave_all(requests);
  if (!drawn) return Unexpected(std::move(drawn).error());
  drawings.musicxml = requests.front().musicxml;
  drawings.piece = std::move(drawn->front().pages);
  for (std::size_t i = 0; i < keys.size(); ++i) {
    drawings.exercises[keys[i]] = std::move((*drawn)[i + 1].pages.front());
  }
  return drawings;
}

}  // namespace endpin::app
