#include <algorithm>
#include <utility>

#include <fmt/core.h>

#include "endpin/lesson_folder/lesson_folder.h"

namespace endpin::app {
namespace {

Error in_file(Error error, const std::string& file) {
  if (error.file.empty()) error.file = file;
  return error;
}

// A piece of which no note can be played on the instrument is the wrong piece or instrument.
std::optional<Error> out_of_reach(const LessonOrder& order, const LessonPlan& plan) {
  for (const NoteMarking& note : plan.markings.notes) {
    if (note.playable) return std::nullopt;
  }
  return Error{ErrorKind::input, order.input.file, "",
               fmt::format("no note of this part can be played on a {}", order.input.instrument),
               "Choose another part or instrument (--part, --instrument)."};
}

}  // namespace

Result<LessonPlan> plan_lesson(const LessonOrder& order) {
  LessonPlan plan;
  plan.instrument = find_instrument(order.input.instrument);
  if (plan.instrument == nullptr) {
    return Unexpected(Error{ErrorKind::input, order.input.file, "",
                            "the instrument \"" + order.input.instrument + "\" is not one of ours",
                            "Give violin, viola, cello or bass."});
  }
  plan.timeline = order.input.timeline;
  plan.timeline.instrument = order.input.instrument;
  plan.step = order.step.empty() ? guess_step(plan.timeline, *plan.instrument) : order.step;
  MarkingOptions options;
  options.step = plan.step;
  options.teacher = order.teacher;
  options.rules = order.rules;
  plan.markings =
      mark(order.input.score, order.input.part, plan.timeline, *plan.instrument, options);
  if (auto error = out_of_reach(order, plan)) return Unexpected(std::move(*error));
  apply(plan.markings, plan.timeline);

  LessonRequest request;
  request.material = {&order.input.score, order.input.part, &plan.timeline, plan.instrument,
                      plan.step};
  request.markings = &plan.markings;
  request.goal_per_minute = order.goal_per_minute;
  request.clean_per_minute = order.clean_per_minute;
  request.items = order.items;
  auto lesson = make_lesson(request);
  if (!lesson) return Unexpected(in_file(std::move(lesson).error(), order.input.file));
  plan.lesson = std::move(*lesson);
  return plan;
}

}  // namespace endpin::app
